//! Room and keep-outs of a bed with their borders at hand: the quick answer for whatever lies well inside.

use crate::{
    geom::{Outline, Placement},
    packing::Bed,
};

/// Borders this near to one another are looked at in full, mm.
const NEAR_MM: f64 = 1e-9;

/// A bed's room and keep-outs, prepared for many copies.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Ground {
    room: Outline,
    keep_outs: Vec<Outline>,
}

impl Ground {
    pub(in crate::packing) fn new(bed: &Bed) -> Self {
        let keep_outs = bed.keep_outs.iter().cloned().map(Outline::new).collect();
        Self { room: Outline::new(bed.room.clone()), keep_outs }
    }
    /// Inside the room beyond doubt: the borders are apart, and each piece has a corner inside. False where it takes a closer look.
    pub(in crate::packing) fn surely_in_room(&self, outline: &Outline, at: Placement) -> bool {
        let home = Placement::default();
        let whole = self.room.region().polygons.iter().all(|p| p.holes.is_empty());
        let starts = || outline.region().polygons.iter().filter_map(|p| p.outer.first());
        whole
            && starts().next().is_some()
            && starts().all(|&p| self.room.contains(home, at.apply(p)))
            && self.room.border_gap(home, outline, at) > NEAR_MM
    }
    /// Inside the room and off every keep-out beyond doubt.
    pub(in crate::packing) fn surely_holds(&self, outline: &Outline, at: Placement) -> bool {
        self.surely_in_room(outline, at) && (0..self.keep_outs.len()).all(|n| self.surely_off(n, outline, at))
    }
    /// Off keep-out number `n` beyond doubt.
    pub(in crate::packing) fn surely_off(&self, n: usize, outline: &Outline, at: Placement) -> bool {
        let home = Placement::default();
        self.keep_outs.get(n).is_some_and(|k| k.distance_within(home, outline, at, 2.0 * NEAR_MM) > NEAR_MM)
    }
}
