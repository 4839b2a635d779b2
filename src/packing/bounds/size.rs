//! Parts too large for the room at any rotation: a set inside a convex set is neither wider nor longer.

use std::f64::consts::PI;

use crate::{
    geom::{Point, hull},
    packing::{Bed, Shape},
};

/// Of outlines with more corners than this the diameter is bounded by their widths in [`DIRECTIONS`] directions.
const CORNERS: usize = 200;
const DIRECTIONS: u32 = 360;

/// Wider, longer or taller than the bed.
pub(super) fn too_large(shape: &Shape, bed: &Bed) -> bool {
    let hull_of = |points: Vec<Point>| hull::convex_hull(points.into_iter().filter(|p| p.is_finite()));
    let part = hull_of(shape.shadow.region().outer_vertices().chain(shape.footing.region().outer_vertices()).collect());
    let room = hull_of(bed.room.outer_vertices().collect());
    hull::least_width(&part).0 > hull::least_width(&room).0 + 1e-6
        || diameter(&part).0 > diameter(&room).1 + 1e-6
        || shape.height_mm > bed.height_mm + 1e-6
}

/// No more and no less than the diameter, mm: the same figure twice but for very many corners.
fn diameter(hull: &[Point]) -> (f64, f64) {
    if hull.len() <= CORNERS {
        let d = hull.iter().flat_map(|a| hull.iter().map(move |b| a.distance(*b))).fold(0.0, f64::max);
        return (d, d);
    }
    // The diameter's own direction is no farther from one of these than half a step.
    let step = PI / f64::from(DIRECTIONS);
    let width = |k: u32| {
        let d = Point::new(1.0, 0.0).turned(step * f64::from(k));
        let along = hull.iter().map(|p| d.dot(*p));
        let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        high - low
    };
    let widest = (0..DIRECTIONS).map(width).fold(0.0, f64::max);
    (widest, widest / (0.5 * step).cos())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::disc;

    /// Ellipses of 10 000 corners: the true diameter lies between the two figures, and they are within a hundred thousandth.
    #[test]
    fn diameters_of_many_corners_are_bounded_closely() {
        for k in 0..20 {
            let turn = 0.37 * f64::from(k);
            let long = disc::regular(Point::default(), 10.0, 10_000).outer;
            let ellipse: Vec<Point> = long.iter().map(|p| Point::new(p.x, 0.4 * p.y).turned(turn)).collect();
            let (low, high) = diameter(&ellipse);
            assert!(low <= 20.0 + 1e-9 && high >= 20.0 - 1e-9 && high - low < 2e-4, "{low} {high}");
            assert_eq!(diameter(&ellipse[..100]).0, diameter(&ellipse[..100]).1);
        }
    }
}
