//! Recipes: the numbers that decide time and cooling.

use serde::{Deserialize, Serialize};

use super::RecipeId;

/// Where the minimum layer time comes from.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum LayerFloor {
    /// No minimum.
    None,
    /// Typed in by the person.
    Typed {
        /// Seconds for every layer.
        seconds: f64,
    },
    /// From the material: `t = (ρ c h / h_c) ln((T₀ − T_a)/(T_lim − T_a))`.
    #[default]
    Material,
    /// From the material and the size of the layer's section: a prism that grows steadily is cooled at its flanks too.
    MaterialBySize,
}

/// Sparse columns under what hangs over too far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Support {
    /// Undersides leaning further than this from the vertical are supported.
    pub overhang_deg: f64,
    /// Density of the columns, 0..=1.
    pub density: f64,
}

impl Default for Support {
    /// Common practice, no source.
    fn default() -> Self {
        Self { overhang_deg: 50.0, density: 0.15 }
    }
}

/// The numbers that decide time and cooling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recipe {
    /// Its id in the job.
    pub id: RecipeId,
    /// "0.20 mm, 3 walls, 18 %".
    pub name: String,
    /// Layer height.
    pub layer_height_mm: f64,
    /// Height of the first layer.
    pub first_layer_mm: f64,
    /// Bead width; also the spacing of neighbouring beads.
    pub bead_width_mm: f64,
    /// Wall loops.
    pub walls: u32,
    /// Solid layers at the bottom.
    pub solid_bottom: u32,
    /// Solid layers at the top.
    pub solid_top: u32,
    /// Infill density, 0..=1.
    pub infill: f64,
    /// Speed on walls.
    pub wall_mm_s: f64,
    /// Speed on solid layers.
    pub solid_mm_s: f64,
    /// Speed on infill.
    pub infill_mm_s: f64,
    /// Speed without extruding.
    pub travel_mm_s: f64,
    /// Speed on the whole first layer.
    pub first_layer_mm_s: f64,
    /// Minimum speed: slowing goes down to it.
    pub least_mm_s: f64,
    /// Acceleration while extruding.
    pub acceleration_mm_s2: f64,
    /// Acceleration while travelling.
    pub travel_acceleration_mm_s2: f64,
    /// Junction deviation: how far the corner speed's circle stays from the corner.
    pub junction_deviation_mm: f64,
    /// Largest flow of the nozzle.
    pub flow_mm3_s: f64,
    /// Filament drawn back before a move through open air.
    pub retraction_mm: f64,
    /// Speed of drawing back and priming.
    pub retraction_mm_s: f64,
    /// Time of one layer change.
    pub layer_change_s: f64,
    /// Skirt loops round everything.
    pub skirt_loops: u32,
    /// Distance of the skirt from the footings.
    pub skirt_gap_mm: f64,
    /// Layers of a raft, all together.
    pub raft_layers: u32,
    /// How many of them, the topmost, are solid; those below are laid with [`Self::raft_density`].
    #[serde(default = "raft_solid_top", skip_serializing_if = "is_usual_top")]
    pub raft_solid_top: u32,
    /// Density of a raft's layers below the solid ones, 0..=1; 1 in files from before there was a choice.
    #[serde(default = "solid", skip_serializing_if = "is_solid")]
    pub raft_density: f64,
    /// Filament purged at the start, mm³.
    pub purge_mm3: f64,
    /// Supports; none where absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub support: Option<Support>,
    /// Where the minimum layer time comes from.
    pub floor: LayerFloor,
    /// Wait for what slowing does not serve.
    pub wait_when_short: bool,
    /// Actual ÷ estimated time, from the tally.
    pub time_factor: f64,
}

/// Common practice, no source: two layers close what sparse lines leave open.
fn raft_solid_top() -> u32 {
    2
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_usual_top(layers: &u32) -> bool {
    *layers == raft_solid_top()
}

fn solid() -> f64 {
    1.0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_solid(density: &f64) -> bool {
    *density == solid()
}

impl Recipe {
    /// How far a raft lifts a part, mm: its first layer and the ones above it.
    pub fn raft_height_mm(&self) -> f64 {
        if self.raft_layers == 0 {
            return 0.0;
        }
        self.first_layer_mm + f64::from(self.raft_layers - 1) * self.layer_height_mm
    }
    /// How far a skirt reaches from the footings it runs round, mm: its gap, then its loops side by side. 0 without one.
    pub fn skirt_mm(&self) -> f64 {
        if self.skirt_loops == 0 {
            return 0.0;
        }
        self.skirt_gap_mm.max(0.0) + f64::from(self.skirt_loops) * self.bead_width_mm.max(0.0)
    }
    /// A plain recipe for a 0.4 mm nozzle. Speeds and counts: common practice, no source.
    pub fn plain(id: RecipeId) -> Self {
        Self {
            id,
            name: "0.20 mm, 3 walls, 18 %".into(),
            layer_height_mm: 0.2,
            first_layer_mm: 0.2,
            bead_width_mm: 0.45,
            walls: 3,
            solid_bottom: 4,
            solid_top: 4,
            infill: 0.18,
            wall_mm_s: 60.0,
            solid_mm_s: 70.0,
            infill_mm_s: 80.0,
            travel_mm_s: 150.0,
            first_layer_mm_s: 25.0,
            least_mm_s: 15.0,
            acceleration_mm_s2: 1500.0,
            travel_acceleration_mm_s2: 2000.0,
            junction_deviation_mm: 0.02,
            flow_mm3_s: 11.0,
            retraction_mm: 1.0,
            retraction_mm_s: 35.0,
            layer_change_s: 0.6,
            skirt_loops: 0,
            skirt_gap_mm: 5.0,
            raft_layers: 4,
            raft_solid_top: raft_solid_top(),
            raft_density: solid(),
            purge_mm3: 60.0,
            support: None,
            floor: LayerFloor::Material,
            wait_when_short: false,
            time_factor: 1.0,
        }
    }
}
