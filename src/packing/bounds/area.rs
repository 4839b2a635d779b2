//! Areas: every copy takes its own area grown by half the clearance, out of the room grown by the same.

use crate::packing::bodies::cleaned::cleaned;
use crate::{
    geom::{Region, boolean, offset},
    packing::{Bed, Problem, Shape},
};

/// Which outlines are compared: shadows with the gap, footings with the footing gap, contacts.
#[derive(Debug, Clone, Copy)]
pub(super) enum Layer {
    Shadow,
    Footing,
}

impl Layer {
    fn gap(self, problem: &Problem) -> f64 {
        match self {
            Self::Shadow => problem.gap_mm.max(0.0),
            Self::Footing if problem.footings_may_merge => 0.0,
            Self::Footing => problem.footing_gap_mm.max(0.0),
        }
    }
    /// Footings that may merge still keep off contacts: then contacts are disjoint.
    fn region(self, problem: &Problem, shape: &Shape) -> Region {
        cleaned(match self {
            Self::Shadow => shape.shadow.region(),
            Self::Footing if problem.footings_may_merge => shape.contact.region(),
            Self::Footing => shape.footing.region(),
        })
    }
    /// What one copy takes, mm²; never too much.
    pub(super) fn of_copy(self, problem: &Problem, shape: &Shape) -> f64 {
        grown_less(&self.region(problem, shape), self.gap(problem) * 0.5).area()
    }
    /// What a bed offers to free copies, mm²; never too little.
    pub(super) fn of_bed(self, problem: &Problem, bed: &Bed) -> f64 {
        let half = self.gap(problem) * 0.5;
        let room = offset::grow(&cleaned(&bed.room), half, 0.01);
        let mut taken: Vec<Region> =
            bed.keep_outs.iter().map(|k| offset::shrink(&cleaned(k), margin(half), 0.005)).collect();
        taken.extend(
            bed.fixed
                .iter()
                .filter(|i| i.at.origin().is_finite() && i.at.turn_rad.is_finite())
                .filter_map(|i| problem.shapes.get(i.shape).map(|s| (s, i.at)))
                .map(|(s, at)| grown_less(&self.region(problem, s), half).placed(at)),
        );
        let taken = boolean::union(&taken);
        boolean::difference(&room, &taken).area()
    }
}

/// A shrinking distance that leaves rather too little.
fn margin(half: f64) -> f64 {
    if half > 0.0 { half + 0.01 } else { 0.0 }
}

/// Grown by at most `by`.
pub(super) fn grown_less(region: &Region, by: f64) -> Region {
    let tolerance = (by * 0.05).min(0.01);
    offset::grow(region, by - 2.0 * tolerance, tolerance)
}

/// What a bed offers, layer by layer, mm²: worked out once for all shapes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Offer([f64; 2]);

impl Offer {
    pub(super) fn of(problem: &Problem, bed: &Bed) -> Self {
        Self([Layer::Shadow, Layer::Footing].map(|l| l.of_bed(problem, bed)))
    }
    pub(super) fn in_layer(self, layer: Layer) -> f64 {
        self.0[layer as usize]
    }
}

/// Copies by area, not rounded.
pub(super) fn copies(problem: &Problem, shape: &Shape, offer: Offer) -> Option<f64> {
    [Layer::Shadow, Layer::Footing]
        .into_iter()
        .map(|l| (offer.in_layer(l), l.of_copy(problem, shape)))
        .filter(|(_, copy)| *copy > 1e-6)
        .map(|(bed, copy)| bed / copy)
        .min_by(f64::total_cmp)
}
