//! Adds up times as they become final.

use super::{MeasuredItems, MeasuredLayer};
use crate::estimate::MOST_LAYERS;

/// The sums of a file so far.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    pub(super) items: MeasuredItems,
    pub(super) before_s: f64,
    /// Since the last bead.
    pub(super) since_s: f64,
    pub(super) layers: Vec<MeasuredLayer>,
    /// Layers that found no room.
    pub(super) lumped: u64,
    /// The layer whose bead was timed last, counted from 1.
    current: u32,
}

impl Ledger {
    /// Opens a layer; its number, counted from 1. A hostile file may have one for every move: at some number they stay one.
    pub(super) fn open(&mut self, z_mm: f64) -> u32 {
        if self.layers.len() < MOST_LAYERS {
            self.layers.push(MeasuredLayer { z_mm, ..MeasuredLayer::default() });
        } else {
            self.lumped += 1;
        }
        self.layers.len() as u32
    }
    /// The layer opened last.
    pub(super) fn latest(&mut self) -> Option<&mut MeasuredLayer> {
        self.layers.last_mut()
    }
    /// A stride has its time: a bead of a layer, or (0) a move without one.
    pub(super) fn stride(&mut self, layer: u32, time_s: f64) {
        if layer == 0 {
            self.items.travel_s += time_s;
            self.since_s += time_s;
            return;
        }
        self.items.beads_s += time_s;
        // What lies between two layers belongs to the lower one: it cools meanwhile.
        let between = std::mem::take(&mut self.since_s);
        match self.current.checked_sub(1).and_then(|i| self.layers.get_mut(i as usize)) {
            Some(l) => l.time_s += between,
            None => self.before_s += between,
        }
        self.current = layer;
        if let Some(l) = self.layers.get_mut(layer as usize - 1) {
            l.time_s += time_s;
        }
    }
    /// Filament went back or forth in place.
    pub(super) fn retraction(&mut self, time_s: f64) {
        self.items.retraction_s += time_s;
        self.since_s += time_s;
    }
    /// The head stood still.
    pub(super) fn dwell(&mut self, time_s: f64) {
        self.items.dwell_s += time_s;
        self.since_s += time_s;
    }
    /// Bytes that it holds beside itself.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        self.layers.capacity() * size_of::<MeasuredLayer>()
    }
    /// The most that it can be: what grows by doubling may have twice the room.
    #[cfg(test)]
    pub(super) const fn most_held() -> usize {
        2 * MOST_LAYERS * size_of::<MeasuredLayer>()
    }
}
