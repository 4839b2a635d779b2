//! Inscribed circles. Source: Oler 1961: points at least d apart in a compact convex set of area A and perimeter P
//! number at most (2/√3) A/d² + P/(2d) + 1.

use crate::packing::bodies::cleaned::filled;
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, hull, moments},
    packing::{Bed, Problem, Shape, bodies::inner_fit},
};

/// Copies by the circle inscribed in the filled shadow, not rounded. (A copy never lies in a hole of its like.)
pub(super) fn copies(problem: &Problem, shape: &Shape, bed: &Bed) -> Option<f64> {
    let radius = inscribed(&filled(shape.shadow.region()));
    if radius <= 1e-6 {
        return None;
    }
    let room = hull::convex_hull(bed.room.outer_vertices().filter(|p| p.is_finite()));
    if room.len() < 3 {
        return Some(0.0);
    }
    // Centres lie in the hull of the room less the radius on every side.
    let mut centres = Bounds::of(room.iter().copied()).corners().to_vec();
    for i in 0..room.len() {
        let (a, b) = (room[i], room[(i + 1) % room.len()]);
        let normal = (b - a).perpendicular().normalized();
        centres = inner_fit::clip(&centres, normal, normal.dot(a) + radius - 1e-9);
    }
    if centres.is_empty() {
        return Some(0.0);
    }
    let d = 2.0 * radius + problem.gap_mm.max(0.0);
    let x: Region = Polygon { outer: centres, holes: Vec::new() }.into();
    Some(2.0 / 3.0_f64.sqrt() * x.area().max(0.0) / (d * d) + x.perimeter() / (2.0 * d) + 1.0)
}

/// Radius of a circle inside the region, near the greatest: never too large.
fn inscribed(region: &Region) -> f64 {
    let outline = Outline::new(region.clone());
    let radius = |p: Point| {
        let (d, inside) = outline.border_distance(Placement::default(), p);
        if inside { d } else { -d }
    };
    let b = region.bounds();
    let start = |p: Point| (radius(p), p);
    let mut best = start(moments::moments(region).centroid);
    let cells = 14;
    for i in 0..cells {
        for j in 0..cells {
            let share = |k: i32| (f64::from(k) + 0.5) / f64::from(cells);
            let tried = start(Point::new(b.min.x + b.width() * share(i), b.min.y + b.height() * share(j)));
            if tried.0 > best.0 + 1e-9 {
                best = tried;
            }
        }
    }
    let mut step = b.width().max(b.height()) / f64::from(cells);
    for _ in 0..200 {
        if step < 1e-9 * (1.0 + best.0.abs()) {
            break;
        }
        let next = (0..8)
            .map(|k| start(best.1 + Point::new(step, 0.0).turned(f64::from(k) * std::f64::consts::FRAC_PI_4)))
            .max_by(|x, y| x.0.total_cmp(&y.0));
        match next.filter(|n| n.0 > best.0) {
            Some(n) => best = n,
            None => step *= 0.5,
        }
    }
    best.0 - 1e-9
}
