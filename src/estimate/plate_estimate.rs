//! The answer: a plate's time, item by item and layer by layer.

use std::sync::Arc;

use super::{Filament, TourPlan};

/// Where the seconds go. They add up to the plate's time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Items {
    /// Heating up, and purging before the first layer.
    pub heat_up_s: f64,
    /// Wall loops.
    pub walls_s: f64,
    /// Solid layers.
    pub solid_s: f64,
    /// Sparse infill.
    pub infill_s: f64,
    /// Supports, where the recipe has them.
    pub support_s: f64,
    /// Skirt, brims, rafts.
    pub footing_s: f64,
    /// Moves without a bead, within copies and between them.
    pub travel_s: f64,
    /// Drawing back and priming.
    pub retraction_s: f64,
    /// Layer changes.
    pub layer_change_s: f64,
    /// Beads laid slower so that layers cool.
    pub slowing_s: f64,
    /// Waiting for layers to cool.
    pub waiting_s: f64,
    /// From the last layer to the end.
    pub end_s: f64,
}

impl Items {
    /// Names and values in the order they are shown.
    pub fn list(&self) -> [(&'static str, f64); 12] {
        [
            ("heat-up", self.heat_up_s),
            ("walls", self.walls_s),
            ("solid layers", self.solid_s),
            ("infill", self.infill_s),
            ("support", self.support_s),
            ("footing", self.footing_s),
            ("travel", self.travel_s),
            ("retraction", self.retraction_s),
            ("layer change", self.layer_change_s),
            ("slowing", self.slowing_s),
            ("waiting", self.waiting_s),
            ("end", self.end_s),
        ]
    }
    /// Sum of all items, s.
    pub fn total_s(&self) -> f64 {
        self.list().iter().map(|i| i.1).sum()
    }
}

/// One layer of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerEstimate {
    /// Its top side, mm above the bed.
    pub top_mm: f64,
    /// Time at the recipe's speeds, layer change included, s.
    pub natural_s: f64,
    /// Minimum layer time; `None` where none is set.
    pub minimum_s: Option<f64>,
    /// Time it really takes: natural, slowed, waited, s.
    pub time_s: f64,
    /// Of it, what slowing added, s.
    pub slowing_s: f64,
    /// Of it, waiting, s.
    pub waiting_s: f64,
    /// What is short of the minimum and neither slowed nor waited for, s.
    pub unserved_s: f64,
    /// Natural time ÷ minimum; `None` where no minimum is set.
    pub headroom: Option<f64>,
    /// Filament of the layer, mm³.
    pub volume_mm3: f64,
    /// Indices of the copies still growing, ascending; layers with the same copies share the list.
    pub copies: Arc<[u32]>,
}

/// How far the head goes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PathLength {
    /// Laying beads, mm.
    pub bead_mm: f64,
    /// Without a bead, within copies and between them, mm.
    pub travel_mm: f64,
}

/// A plate's time, filament and layers.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateEstimate {
    /// Time from switching on to the end, s: the sum of [`Self::items`].
    pub time_s: f64,
    /// Filament of all heads, purge and skirt included.
    pub filament: Filament,
    /// Heads that print it at once, moving as one: each takes its share of the filament from a spool of its own. All else is told of one.
    pub heads: u32,
    /// How far the head goes.
    pub path: PathLength,
    /// Where the seconds go.
    pub items: Items,
    /// Layer by layer from the bed up.
    pub layers: Vec<LayerEstimate>,
    /// Of each layer's natural time, the move from where the layer below ends, drawing back included, s: once a layer, however many
    /// copies there are.
    pub arrivals_s: Vec<f64>,
    /// How much longer each layer can take by slowing to the minimum speed, s.
    pub slack_s: Vec<f64>,
    /// Moves between copies on the first layer and above it, to be handed in again as [`super::Tour::Approximate`] while dragging.
    pub tours: TourPlan,
}

impl PlateEstimate {
    /// The same plate printed twice at once by two heads that move as one: in the time of one, with the filament of two.
    #[must_use]
    pub fn twice(self) -> Self {
        Self { heads: 2 * self.heads, filament: self.filament.times(2.0), ..self }
    }
    /// What one head takes from its spool.
    pub fn of_one_head(&self) -> Filament {
        self.filament.times(1.0 / f64::from(self.heads.max(1)))
    }
}
