//! A closed loop of bead.

use crate::geom::Point;

/// A loop laid with beads as wide as what they have to fill.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ring {
    /// Centre line, not closed by a repeated point.
    pub(super) points: Vec<Point>,
    /// Width of the bead on each leg, from point i to the next; a single one where all are alike.
    widths_mm: Vec<f64>,
}

impl Ring {
    /// As wide all round.
    pub(super) fn even(points: Vec<Point>, width_mm: f64) -> Self {
        Self { points, widths_mm: vec![width_mm] }
    }
    /// Legs with their widths: one for each point.
    pub(super) fn varied(points: Vec<Point>, widths_mm: Vec<f64>) -> Self {
        debug_assert_eq!(points.len(), widths_mm.len(), "a width for each leg");
        Self { points, widths_mm }
    }
    /// Width of the bead from point `leg` to the next.
    pub(super) fn width_mm(&self, leg: usize) -> f64 {
        self.widths_mm.get(leg).or(self.widths_mm.last()).copied().unwrap_or_default()
    }
    /// Area that its beads cover, mm².
    pub(super) fn area_mm2(&self) -> f64 {
        let n = self.points.len();
        (0..n).map(|i| self.points[i].distance(self.points[(i + 1) % n]) * self.width_mm(i)).sum()
    }
}
