//! Plane loops, counter-clockwise, millimetres.

use std::f64::consts::{PI, TAU};

/// A point in plan.
pub(crate) type P2 = [f64; 2];

/// Points on an arc from one angle to another (radians, both ends included), `steps` chords.
pub(crate) fn arc(centre: P2, radius: f64, from: f64, to: f64, steps: usize) -> Vec<P2> {
    (0..=steps)
        .map(|i| {
            let a = from + (to - from) * i as f64 / steps as f64;
            [centre[0] + radius * a.cos(), centre[1] + radius * a.sin()]
        })
        .collect()
}

/// A circle of `steps` chords.
pub(crate) fn circle(centre: P2, radius: f64, steps: usize) -> Vec<P2> {
    (0..steps)
        .map(|i| {
            let a = TAU * i as f64 / steps as f64;
            [centre[0] + radius * a.cos(), centre[1] + radius * a.sin()]
        })
        .collect()
}

/// A rectangle round `centre` with rounded corners, four chords a corner.
pub(crate) fn rounded_rectangle(centre: P2, width: f64, depth: f64, radius: f64) -> Vec<P2> {
    let (x, y) = (width / 2.0 - radius, depth / 2.0 - radius);
    [(x, y), (-x, y), (-x, -y), (x, -y)]
        .iter()
        .enumerate()
        .flat_map(|(i, (dx, dy))| {
            let from = i as f64 * PI / 2.0;
            arc([centre[0] + dx, centre[1] + dy], radius, from, from + PI / 2.0, 4)
        })
        .collect()
}

/// A slot: two half circles and the straights between them, `length` over all along x.
pub(crate) fn slot(centre: P2, length: f64, width: f64) -> Vec<P2> {
    let (r, x) = (width / 2.0, (length - width) / 2.0);
    let mut points = arc([centre[0] + x, centre[1]], r, -PI / 2.0, PI / 2.0, 8);
    points.extend(arc([centre[0] - x, centre[1]], r, PI / 2.0, 1.5 * PI, 8));
    points
}
