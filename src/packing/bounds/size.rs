//! Parts that no turn lays inside the room: a set inside a convex set is neither wider nor longer.

use crate::{
    geom::{Point, hull},
    packing::{Bed, Shape},
};

/// Wider, longer or taller than the bed.
pub(super) fn too_large(shape: &Shape, bed: &Bed) -> bool {
    let hull_of = |points: Vec<Point>| hull::convex_hull(points.into_iter().filter(|p| p.is_finite()));
    let part = hull_of(shape.shadow.region().outer_vertices().chain(shape.footing.region().outer_vertices()).collect());
    let room = hull_of(bed.room.outer_vertices().collect());
    hull::least_width(&part).0 > hull::least_width(&room).0 + 1e-6
        || diameter(&part) > diameter(&room) + 1e-6
        || shape.height_mm > bed.height_mm + 1e-6
}

fn diameter(hull: &[Point]) -> f64 {
    hull.iter().flat_map(|a| hull.iter().map(move |b| a.distance(*b))).fold(0.0, f64::max)
}
