//! What a plate adds up over its copies, one row a layer, laid out so that adding is quick.

use super::LayerWork;

/// Seconds by item, the seconds that slowing down can add, volume and lengths.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Sums(pub(super) [f64; 11]);

impl Sums {
    pub(super) const WALLS: usize = 0;
    pub(super) const SOLID: usize = 1;
    pub(super) const INFILL: usize = 2;
    pub(super) const SUPPORT: usize = 3;
    pub(super) const FOOTING: usize = 4;
    pub(super) const TRAVEL: usize = 5;
    pub(super) const RETRACTION: usize = 6;
    /// Time at the least speed less time at the recipe's.
    pub(super) const SLACK: usize = 7;
    /// mm³.
    pub(super) const VOLUME: usize = 8;
    /// Ways with a bead and without, mm.
    pub(super) const BEAD: usize = 9;
    pub(super) const WAY: usize = 10;

    pub(super) fn of(l: &LayerWork) -> Self {
        Self([
            l.walls.time_s,
            l.solid.time_s,
            l.infill.time_s,
            l.support.time_s,
            l.footing.time_s,
            l.travel_s,
            l.retraction_s,
            l.slowest_s() - l.time_s(),
            l.volume_mm3(),
            l.bead_mm(),
            l.travel_mm,
        ])
    }
    pub(super) fn add(&mut self, count: f64, other: &Self) {
        for (a, b) in self.0.iter_mut().zip(other.0) {
            *a += count * b;
        }
    }
    /// Seconds of everything but slowing.
    pub(super) fn time_s(&self) -> f64 {
        self.0[..Self::SLACK].iter().sum()
    }
}
