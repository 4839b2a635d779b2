//! Regular pentagons: no packing of the plane is denser than (5 − √5)/3. Source: Hales & Kusner, arXiv 1602.07220.

use super::hexagon::outset_box_area;
use crate::packing::bodies::cleaned::cleaned;
use crate::{
    geom::moments,
    packing::{Bed, Problem, Shape},
};

/// Copies of a regular pentagon, not rounded; `None` for other shapes.
///
/// Its outline grown by half the gap holds the pentagon whose corners lie half the gap further out.
pub(super) fn copies(problem: &Problem, shape: &Shape, bed: &Bed) -> Option<f64> {
    let region = cleaned(shape.shadow.region());
    let [p] = region.polygons.as_slice() else { return None };
    if p.outer.len() != 5 || !p.holes.is_empty() {
        return None;
    }
    let c = moments::moments(&region).centroid;
    let radius = c.distance(p.outer[0]);
    let side = 2.0 * radius * (std::f64::consts::PI / 5.0).sin();
    let regular = (0..5).all(|i| {
        let (a, b) = (p.outer[i], p.outer[(i + 1) % 5]);
        (a.distance(c) - radius).abs() < 1e-6 * radius && (a.distance(b) - side).abs() < 1e-6 * side
    });
    let r = radius + problem.gap_mm.max(0.0) * 0.5;
    let area = 2.5 * r * r * (std::f64::consts::TAU / 5.0).sin() * (1.0 - 1e-5);
    regular.then(|| (5.0 - 5.0_f64.sqrt()) / 3.0 * outset_box_area(problem, bed) / area)
}
