//! Regions cut into convex pieces, and into pieces without holes.

use crate::geom::{Bounds, Point, Polygon, Region, boolean, hull};

/// The part of `region` on the left of the line through `a` towards `a + d`.
fn left_of(region: &Region, a: Point, d: Point, reach: f64) -> Region {
    let u = d.normalized();
    let (s, t) = (a + u * -reach, a + u * reach);
    let n = u.perpendicular() * reach;
    boolean::intersection(region, &Polygon::simple(vec![s, t, t + n, s + n]).into())
}

fn reach_of(b: Bounds) -> f64 {
    2.0 * (b.width() + b.height()) + 1.0
}

/// Convex pieces that cover the region, counter-clockwise: cut along the longer edge at an inward corner until none
/// is left. At most one piece more than there are inward corners, in the usual case far fewer. Corners that turn
/// inward by less than `1e-9` of the size are straightened (outwards).
pub(in crate::packing) fn pieces(region: &Region) -> Vec<Vec<Point>> {
    let mut done = Vec::new();
    let mut todo: Vec<(Polygon, u32)> = region.polygons.iter().map(|p| (p.clone(), 0)).collect();
    while let Some((p, depth)) = todo.pop() {
        let bounds = Bounds::of(p.outer.iter().copied());
        let size = bounds.width().max(bounds.height());
        let corners = inward_corners(&p, size * 1e-9);
        let cut = corners
            .iter()
            .take(if depth < 400 { 12 } else { 0 })
            .flat_map(|&(at, u, v)| {
                let (u, v) = if u.length() >= v.length() { (u, v) } else { (v, u) };
                [(at, u), (at, v), (at, u.normalized() - v.normalized())]
            })
            .find_map(|(at, along)| split(&p, at, along, bounds));
        if let Some(parts) = cut {
            todo.extend(parts.into_iter().map(|q| (q, depth + 1)));
        } else {
            // Convex, or no cut does anything (rounding): the hull is the safe answer.
            let h = hull::convex_hull(p.outer);
            if h.len() >= 3 {
                done.push(h);
            }
        }
    }
    done
}

/// Both sides of a cut; `None` where one of them has no area.
fn split(p: &Polygon, at: Point, along: Point, bounds: Bounds) -> Option<Vec<Polygon>> {
    let size = bounds.width().max(bounds.height());
    let (reach, whole, hair) = (reach_of(bounds), Region::from(p.clone()), size * 1e-12);
    let mut all = Vec::new();
    for d in [along, -along] {
        let before = all.len();
        all.extend(
            left_of(&whole, at, d, reach)
                .polygons
                .into_iter()
                .map(|q| Polygon {
                    outer: without_spikes(q.outer, hair),
                    holes: q.holes.into_iter().map(|h| without_spikes(h, hair)).filter(|h| h.len() >= 3).collect(),
                })
                .filter(|q| q.outer.len() >= 3 && q.area() > hair * size),
        );
        if all.len() == before {
            return None;
        }
    }
    Some(all)
}

/// Drops corners that are no more than a hair away from the line through a neighbour and the next one: doubled corners,
/// straight ones, and the tips of spikes that cuts leave along an edge.
fn without_spikes(mut l: Vec<Point>, hair: f64) -> Vec<Point> {
    let mut i = 0;
    let mut kept = 0;
    while l.len() >= 3 && kept < l.len() {
        let n = l.len();
        let (a, b, c) = (l[(i + n - 1) % n], l[i % n], l[(i + 1) % n]);
        let (u, v) = (b - a, c - b);
        if u.cross(v).abs() <= hair * u.length().max(v.length()) {
            l.remove(i % n);
            i = (i + n - 1) % n % l.len().max(1);
            kept = 0;
        } else {
            kept += 1;
            i = (i + 1) % n;
        }
    }
    if l.len() < 3 { Vec::new() } else { l }
}

/// Inward corners with both their edges, the most inward first.
fn inward_corners(p: &Polygon, tolerance: f64) -> Vec<(Point, Point, Point)> {
    let mut found: Vec<(f64, Point, Point, Point)> = Vec::new();
    for l in p.loops() {
        let n = l.len();
        for i in 0..n {
            let (a, b, c) = (l[(i + n - 1) % n], l[i], l[(i + 1) % n]);
            let (u, v) = (b - a, c - b);
            let cross = u.cross(v);
            let chord = (c - a).length().max(1e-300);
            if cross < 0.0 && -cross / chord > tolerance {
                found.push((-cross.atan2(u.dot(v)), b, u, v));
            }
        }
    }
    found.sort_by(|x, y| y.0.total_cmp(&x.0));
    found.into_iter().map(|(_, b, u, v)| (b, u, v)).collect()
}

/// Simple loops, counter-clockwise, that cover the region: polygons with holes are cut through the middle of a hole.
pub(in crate::packing) fn without_holes(region: &Region) -> Vec<Vec<Point>> {
    let mut done = Vec::new();
    let mut todo: Vec<(Polygon, u32)> = region.polygons.iter().map(|p| (p.clone(), 0)).collect();
    while let Some((p, depth)) = todo.pop() {
        let Some(hole) = p.holes.first().filter(|_| depth < 60) else {
            done.push(p.outer);
            continue;
        };
        let middle = Bounds::of(hole.iter().copied()).centre();
        let reach = reach_of(Bounds::of(p.outer.iter().copied()));
        let whole = Region::from(p.clone());
        for d in [1.0, -1.0] {
            todo.extend(
                left_of(&whole, middle, Point::new(0.0, d), reach).polygons.into_iter().map(|q| (q, depth + 1)),
            );
        }
    }
    done
}

/// Is this loop convex (to `1e-9` of its size) and counter-clockwise?
pub(in crate::packing) fn is_convex(l: &[Point]) -> bool {
    let n = l.len();
    let b = Bounds::of(l.iter().copied());
    let tolerance = b.width().max(b.height()) * 1e-9;
    let mut turn = 0.0;
    for i in 0..n {
        let (a, b, c) = (l[i], l[(i + 1) % n], l[(i + 2) % n]);
        let (u, v) = (b - a, c - b);
        let cross = u.cross(v);
        if -cross / (c - a).length().max(1e-300) > tolerance {
            return false;
        }
        turn += cross.atan2(u.dot(v));
    }
    n >= 3 && (turn - std::f64::consts::TAU).abs() < 1.0
}

/// As [`is_convex`], and no corner turns inward at all: each edge, however short, then bounds the whole loop. A sum may
/// carry edges of a hair's length that turn inward within tolerance; half-plane tests against those are wrong.
pub(in crate::packing) fn is_strictly_convex(l: &[Point]) -> bool {
    let n = l.len();
    is_convex(l) && (0..n).all(|i| (l[(i + 1) % n] - l[i]).cross(l[(i + 2) % n] - l[(i + 1) % n]) >= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::disc;

    fn area(pieces: &[Vec<Point>]) -> f64 {
        pieces.iter().map(|p| Polygon { outer: p.clone(), holes: vec![] }.area()).sum()
    }

    #[test]
    fn pieces_cover_an_l_a_star_and_a_ring() {
        let l: Region = Polygon::simple(
            [[0., 0.], [30., 0.], [30., 10.], [10., 10.], [10., 30.], [0., 30.]].map(Point::from).to_vec(),
        )
        .into();
        let star: Region = Polygon::simple(
            (0..14)
                .map(|i| {
                    Point::new(if i % 2 == 0 { 20.0 } else { 8.0 }, 0.0)
                        .turned(f64::from(i) * std::f64::consts::PI / 7.0)
                })
                .collect(),
        )
        .into();
        let mut ring = disc::regular(Point::default(), 20.0, 24);
        let mut hole = disc::regular(Point::default(), 12.0, 20).outer;
        hole.reverse();
        ring.holes.push(hole);
        let ring = Region::from(ring);
        for (r, most) in [(&l, 2), (&star, 8), (&ring, 24)] {
            let p = pieces(r);
            assert!(p.iter().all(|q| is_convex(q)));
            assert!((area(&p) - r.area()).abs() < 1e-6, "{} {}", area(&p), r.area());
            assert!(p.len() <= most, "{} pieces", p.len());
            let s = without_holes(r);
            assert!((area(&s) - r.area()).abs() < 1e-6);
        }
        assert_eq!(without_holes(&ring).len(), 2);
    }
}
