//! Convex parts: no packing of the plane is denser than the part's area over that of its least circumscribed hexagon
//! (Fejes Tóth 1950), and a rectangular bed tiles the plane, so that n ≤ width · depth / hexagon.

use crate::packing::bodies::cleaned::cleaned;
use crate::{
    geom::{Point, Polygon, hull},
    packing::{Bed, Problem, Shape},
};

/// Corners of the outline that the hexagon is put round.
const CORNERS: usize = 36;

/// Area of the box round the room, grown by half the gap, mm²: every grown copy lies in it.
pub(super) fn outset_box_area(problem: &Problem, bed: &Bed) -> f64 {
    let b = bed.room.bounds().grown(problem.gap_mm.max(0.0) * 0.5);
    b.width() * b.height()
}

/// Copies of a convex part, not rounded; `None` for others. Keep-outs and fixed copies are not taken off.
pub(super) fn copies(problem: &Problem, shape: &Shape, bed: &Bed) -> Option<f64> {
    let region = cleaned(shape.shadow.region());
    let [p] = region.polygons.as_slice() else { return None };
    let outer = hull::convex_hull(p.outer.iter().copied());
    if !p.holes.is_empty() || loop_area(&outer) > region.area() * (1.0 + 1e-9) {
        return None;
    }
    let hexagon = least_hexagon(&within(&outer, problem.gap_mm.max(0.0) * 0.5));
    (hexagon > 0.0).then(|| outset_box_area(problem, bed) / (hexagon * (1.0 - 1e-9)))
}

/// A convex polygon inside `outer` grown by `by`, with few corners, all on its border.
fn within(outer: &[Point], by: f64) -> Vec<Point> {
    let n = outer.len();
    if n <= CORNERS && by <= 0.0 {
        return outer.to_vec();
    }
    let edge = |i: usize| outer[(i + 1) % n] - outer[i];
    let normal = |i: usize| -edge(i).normalized().perpendicular();
    let mut points = Vec::new();
    if by <= 0.0 || n > CORNERS {
        // Corners furthest out in evenly spread directions.
        for k in 0..CORNERS {
            let d = Point::new(1.0, 0.0).turned(std::f64::consts::TAU * k as f64 / CORNERS as f64);
            let far = outer.iter().copied().max_by(|a, b| a.dot(d).total_cmp(&b.dot(d)));
            points.extend(far.map(|p| p + d * by));
        }
    } else {
        // At each corner both ends of the arc, and as many between as there is room for.
        let spare = (CORNERS.saturating_sub(2 * n)) as f64;
        for (i, &corner) in outer.iter().enumerate() {
            let (a, b) = (normal((i + n - 1) % n), normal(i));
            let turn = a.cross(b).atan2(a.dot(b)).max(0.0);
            let steps = 1 + (spare * turn / std::f64::consts::TAU).floor() as usize;
            points.extend((0..=steps).map(|k| corner + a.turned(turn * k as f64 / steps as f64) * by));
        }
    }
    hull::convex_hull(points)
}

/// Area of the least hexagon round a convex polygon, counter-clockwise. At least five of its sides lie along edges of
/// the polygon (Aggarwal, Chang & Yap 1985); the sixth is sought at every corner.
pub(super) fn least_hexagon(p: &[Point]) -> f64 {
    let n = p.len();
    let own = loop_area(p);
    if n <= 6 {
        return own;
    }
    let at = |i: usize| p[i % n];
    let dir = |i: usize| at(i + 1) - at(i);
    // Area between the polygon and two tangents that touch it at corners a and b (a before b, both as running
    // numbers), with directions u and v. Infinite where they do not meet ahead.
    let mut chain = vec![0.0; 2 * n + 1];
    for i in 0..2 * n {
        chain[i + 1] = chain[i] + at(i).cross(at(i + 1)) * 0.5;
    }
    let corner = |a: usize, u: Point, b: usize, v: Point| -> f64 {
        let (pa, pb) = (at(a), at(b));
        if a == b {
            return 0.0;
        }
        let den = u.cross(v);
        if den <= 1e-12 * u.length() * v.length() {
            return f64::INFINITY;
        }
        let x = pa + u * ((pb - pa).cross(v) / den);
        let triangle = 0.5 * (pa.cross(x) + x.cross(pb) + pb.cross(pa));
        (triangle - (chain[b] - chain[a] + 0.5 * pb.cross(pa))).max(0.0)
    };
    // flush[i][k]: sides along edges i and i + k.
    let flush: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            (0..n).map(|k| if k == 0 { f64::INFINITY } else { corner(i + 1, dir(i), i + k, dir(i + k)) }).collect()
        })
        .collect();
    // one[i][k]: the same with one free side between.
    let one: Vec<Vec<f64>> = (0..n)
        .map(|i| {
            (0..n)
                .map(|k| {
                    let j = i + k;
                    (i + 1..=j)
                        .map(|c| free_side(&corner, (i, dir(i)), c, (dir(c - 1), dir(c)), (j, dir(j))))
                        .fold(if k == 0 { f64::INFINITY } else { flush[i][k] }, f64::min)
                })
                .collect()
        })
        .collect();
    let mut best = f64::INFINITY;
    for s in 0..n {
        // cost[k]: from s to s + k with so many sides.
        let mut cost = vec![f64::INFINITY; n];
        cost[0] = 0.0;
        for _ in 0..4 {
            let mut next = cost.clone();
            for (k, &c) in cost.iter().enumerate().filter(|(_, c)| c.is_finite()) {
                for step in 1..n - k {
                    next[k + step] = next[k + step].min(c + flush[(s + k) % n][step]);
                }
            }
            cost = next;
        }
        for (k, &c) in cost.iter().enumerate().skip(1) {
            best = best.min(c + one[(s + k) % n][n - k]);
        }
    }
    own + best
}

/// The least cost of a side that touches only corner `c`, between sides along two edges.
fn free_side(
    corner: &impl Fn(usize, Point, usize, Point) -> f64,
    (i, u): (usize, Point),
    c: usize,
    (from, to): (Point, Point),
    (j, v): (usize, Point),
) -> f64 {
    let (from, to) = (from.normalized(), to.normalized());
    let turn = from.cross(to).atan2(from.dot(to));
    let cost = |t: f64| {
        let d = from.turned(turn * t);
        corner(i + 1, u, c, d) + corner(c, d, j, v)
    };
    // One minimum only, or one at an end (which the sides along edges have): golden section.
    let g = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (0.0, 1.0);
    let (mut x, mut y) = (b - g * (b - a), a + g * (b - a));
    let (mut fx, mut fy) = (cost(x), cost(y));
    for _ in 0..24 {
        if fx < fy {
            (b, y, fy) = (y, x, fx);
            x = b - g * (b - a);
            fx = cost(x);
        } else {
            (a, x, fx) = (x, y, fy);
            y = a + g * (b - a);
            fy = cost(y);
        }
    }
    fx.min(fy)
}

fn loop_area(points: &[Point]) -> f64 {
    Polygon { outer: points.to_vec(), holes: Vec::new() }.area()
}
