//! Where a moving shape's origin may not be.

use std::sync::OnceLock;

use crate::geom::{Bounds, Point, Region, boolean};
use crate::packing::bodies::convex;

/// Convex pieces are shrunk by this in sums, mm, so that exact fits keep a position; far below every tolerance.
const HAIR_MM: f64 = 2.5e-10;

/// A forbidden zone: positions of one shape, relative to another thing, at which the two would overlap (a no-fit
/// polygon). The border is allowed.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Zone {
    bounds: Bounds,
    /// Every edge with its own two ends, for counting crossings: an end worked out from a vector may differ by a bit
    /// from the next edge's start, and positions in contact lie at just those heights.
    ends: Vec<(Point, Point)>,
    /// Border edges (start, vector, 1 / squared length), the inside on the left.
    edges: Vec<(Point, Point, f64)>,
    convex: bool,
    /// Depths on a grid over the box, negative outside; made when first asked for.
    raster: OnceLock<Vec<f32>>,
}

/// Steps of the grid each way.
const STEPS: usize = 16;
/// Convex zones of this many edges are as quick to ask exactly.
const QUICK: usize = 8;

impl Zone {
    pub(in crate::packing) fn new(region: &Region) -> Self {
        let edges = region
            .edges()
            .map(|(a, b)| (a, b - a, 1.0 / (b - a).length_squared().max(1e-300)))
            .filter(|(_, d, _)| d.length_squared() > 1e-24)
            .collect();
        let convex = match region.polygons.as_slice() {
            [p] => p.holes.is_empty() && convex::is_strictly_convex(&p.outer),
            _ => false,
        };
        Self { ends: region.edges().collect(), edges, bounds: region.bounds(), convex, raster: OnceLock::new() }
    }
    pub(in crate::packing) fn bounds(&self) -> Bounds {
        self.bounds
    }
    pub(in crate::packing) fn is_empty(&self) -> bool {
        self.edges.is_empty()
    }
    #[cfg(test)]
    pub(in crate::packing) fn vertices(&self) -> impl Iterator<Item = Point> + '_ {
        self.edges.iter().map(|e| e.0)
    }
    /// Border edges as start and vector.
    pub(in crate::packing) fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.edges.iter().map(|e| (e.0, e.1))
    }
    /// How deep the position lies inside: its distance from the border; 0 outside and where no deeper than `tolerance`.
    pub(in crate::packing) fn depth(&self, p: Point, tolerance: f64) -> f64 {
        if !self.bounds.contains(p) {
            return 0.0;
        }
        let mut least = f64::INFINITY;
        if self.convex {
            for &(a, d, inv) in &self.edges {
                let c = d.cross(p - a);
                if c <= 0.0 {
                    return 0.0;
                }
                least = least.min(c * c * inv);
            }
        } else if self.holds(p) {
            for e in &self.edges {
                least = least.min(squared_distance(p, e));
            }
        } else {
            return 0.0;
        }
        if least > tolerance * tolerance { least.sqrt() } else { 0.0 }
    }
    /// As [`Self::depth`] with no tolerance, read off a grid: right to a small share of the zone's size, for choosing
    /// among many positions.
    pub(in crate::packing) fn rough_depth(&self, p: Point) -> f64 {
        if !self.bounds.contains(p) {
            return 0.0;
        }
        if self.convex && self.edges.len() <= QUICK {
            return self.depth(p, 0.0);
        }
        let cell = |at: f64, low: f64, length: f64| {
            let x = (at - low) * STEPS as f64 / length.max(1e-300);
            let i = (x as usize).min(STEPS - 1);
            (i, x - i as f64)
        };
        let (i, u) = cell(p.x, self.bounds.min.x, self.bounds.width());
        let (j, v) = cell(p.y, self.bounds.min.y, self.bounds.height());
        let raster = self.raster.get_or_init(|| self.sampled());
        let at = |k: usize| f64::from(raster[k]);
        let row = |j: usize| {
            let k = j * (STEPS + 1) + i;
            at(k) + (at(k + 1) - at(k)) * u
        };
        (row(j) * (1.0 - v) + row(j + 1) * v).max(0.0)
    }
    fn sampled(&self) -> Vec<f32> {
        let step = Point::new(self.bounds.width(), self.bounds.height()) * (1.0 / STEPS as f64);
        let depth = |k: usize| {
            let (i, j) = ((k % (STEPS + 1)) as f64, (k / (STEPS + 1)) as f64);
            let p = self.bounds.min + Point::new(step.x * i, step.y * j);
            let far = self.edges.iter().map(|e| squared_distance(p, e)).fold(f64::INFINITY, f64::min).sqrt() as f32;
            if self.holds(p) { far } else { -far }
        };
        (0..(STEPS + 1) * (STEPS + 1)).map(depth).collect()
    }
    /// The nearest place on the border, and the direction of the border there; `None` outside.
    pub(in crate::packing) fn way_out(&self, p: Point) -> Option<(Point, Point)> {
        if !self.bounds.contains(p) || !self.holds(p) {
            return None;
        }
        let near = self.edges.iter().map(|&(a, d, inv)| (a + d * ((p - a).dot(d) * inv).clamp(0.0, 1.0), d));
        near.min_by(|a, b| (a.0 - p).length_squared().total_cmp(&(b.0 - p).length_squared()))
    }
    /// Deeper inside than `tolerance`?
    pub(in crate::packing) fn blocks(&self, p: Point, tolerance: f64) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        if self.convex {
            return self.edges.iter().all(|&(a, d, inv)| {
                let c = d.cross(p - a);
                c > 0.0 && c * c * inv > tolerance * tolerance
            });
        }
        self.holds(p) && self.edges.iter().all(|e| squared_distance(p, e) > tolerance * tolerance)
    }
    /// Inside by the crossing rule.
    fn holds(&self, p: Point) -> bool {
        let mut inside = false;
        for &(a, b) in &self.ends {
            if (a.y > p.y) != (b.y > p.y) {
                let c = (b - a).cross(p - a);
                if (c > 0.0) == (b.y > a.y) {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

fn squared_distance(p: Point, &(a, d, inv): &(Point, Point, f64)) -> f64 {
    let r = p - a;
    let t = (r.dot(d) * inv).clamp(0.0, 1.0);
    (r - d * t).length_squared()
}

/// Positions at which the convex loop `b` (moved) overlaps the loop `a`: one closed loop of the sum of `a` and −`b`.
///
/// Walks along `a` and, at each of its corners, along −`b`: forwards at outward corners, backwards at inward ones. The
/// winding number of the result about a position is the number of separate overlaps there, so it is filled non-zero.
/// Source: convolution of Guibas, Ramshaw & Stolfi 1983.
pub(in crate::packing) fn sum_loop(a: &[Point], b: &[Point]) -> Vec<Point> {
    use std::f64::consts::{PI, TAU};
    let m = b.len().cast_signed() as i64;
    let n = a.len();
    if m < 3 || n < 3 {
        return Vec::new();
    }
    // −b, still counter-clockwise; start at the edge with the least angle.
    let mut c: Vec<Point> = b.iter().map(|&p| -p).collect();
    let angle = |v: Point| v.y.atan2(v.x);
    let direction = |c: &[Point], i: usize| c[(i + 1) % c.len()] - c[i];
    let first = (0..c.len()).min_by(|&i, &j| angle(direction(&c, i)).total_cmp(&angle(direction(&c, j)))).unwrap_or(0);
    c.rotate_left(first);
    let angles: Vec<f64> = (0..c.len()).map(|i| angle(direction(&c, i))).collect();
    // Angle of edge j, counted on through full turns.
    let edge_angle = |j: i64| angles[j.rem_euclid(m) as usize] + TAU * j.div_euclid(m) as f64;
    let corner = |j: i64| c[j.rem_euclid(m) as usize];
    let mut theta = angle(a[1] - a[0]);
    // Corner j of −b goes with directions from edge j − 1 to edge j.
    let mut j = 0;
    while edge_angle(j) <= theta {
        j += 1;
    }
    let mut out = Vec::with_capacity(n * 2 + c.len());
    for k in 0..n {
        let next = a[(k + 1) % n];
        out.push(a[k] + corner(j));
        out.push(next + corner(j));
        let d = a[(k + 2) % n] - next;
        // Full turns are counted apart, so that equal directions compare equal.
        let mut turn = angle(d) - theta.rem_euclid(TAU);
        while turn > PI {
            turn -= TAU;
        }
        while turn <= -PI + 1e-12 {
            turn += TAU;
        }
        theta = angle(d) + TAU * ((theta + turn - angle(d)) / TAU).round();
        while edge_angle(j) <= theta {
            j += 1;
            out.push(next + corner(j));
        }
        while edge_angle(j - 1) > theta {
            j -= 1;
            out.push(next + corner(j));
        }
    }
    out.dedup();
    out
}

/// Shrinks a convex piece by a hair, so that exact fits inside a zone (a peg in its hole) keep a position of their own.
pub(in crate::packing) fn hair_less(piece: &[Point], hair: f64) -> Vec<Point> {
    let c = piece.iter().fold(Point::default(), |s, &p| s + p) * (1.0 / piece.len().max(1) as f64);
    let reach = piece.iter().map(|p| p.distance(c)).fold(0.0, f64::max);
    // Towards the middle in proportion, so that what is convex stays so.
    let share = 1.0 - (hair / reach.max(1e-300)).min(0.25);
    piece.iter().map(|&p| c + (p - c) * share).collect()
}

/// All positions at which the thing made of simple loops `a` and the moving thing made of convex pieces `b` overlap.
pub(in crate::packing) fn overlap_positions(a: &[Vec<Point>], b: &[Vec<Point>]) -> Region {
    if let ([a], [b]) = (a, b)
        && convex::is_convex(a)
        && b.len() >= 3
    {
        return crate::geom::Polygon { outer: crate::geom::hull::convex_hull(sum_loop(a, b)), holes: Vec::new() }
            .into();
    }
    let pieces = b.iter().map(|b| hair_less(b, HAIR_MM));
    boolean::non_zero(&pieces.flat_map(|b| a.iter().map(move |a| sum_loop(a, &b))).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Outline, Placement, Polygon, disc};
    use crate::rng::Rng;

    fn l() -> Region {
        Polygon::simple([[0., 0.], [30., 0.], [30., 10.], [10., 10.], [10., 30.], [0., 30.]].map(Point::from).to_vec())
            .into()
    }
    fn ring() -> Region {
        let mut r = disc::regular(Point::default(), 30.0, 24);
        let mut hole = disc::regular(Point::default(), 18.0, 20).outer;
        hole.reverse();
        r.holes.push(hole);
        r.into()
    }
    fn star() -> Region {
        Polygon::simple(
            (0..14)
                .map(|i| {
                    Point::new(if i % 2 == 0 { 14.0 } else { 6.0 }, 0.0)
                        .turned(f64::from(i) * std::f64::consts::PI / 7.0)
                })
                .collect(),
        )
        .into()
    }

    /// Referee: the exact distance of the two outlines, which knows nothing of zones.
    #[test]
    fn zones_agree_with_distances() {
        let shapes = [l(), ring(), star(), disc::regular(Point::new(3.0, 1.0), 9.0, 5).into()];
        let mut rng = Rng::new(1);
        let mut seen = [0, 0];
        for a in &shapes {
            for b in &shapes {
                for _ in 0..4 {
                    let turned = b.placed(Placement::new(0.0, 0.0, rng.between(0.0, 6.3)));
                    let zone = Zone::new(&overlap_positions(&convex::without_holes(a), &convex::pieces(&turned)));
                    let (oa, ob) = (Outline::new(a.clone()), Outline::new(turned));
                    for _ in 0..300 {
                        let p = Point::new(rng.between(-60.0, 60.0), rng.between(-60.0, 60.0));
                        let apart = oa.distance(Placement::default(), &ob, Placement::at(p.x, p.y)) > 1e-9;
                        if zone.depth(p, 0.0) > 1e-6 {
                            assert!(!apart, "{p:?}");
                            seen[0] += 1;
                        } else if zone.edges.iter().all(|e| squared_distance(p, e) > 1e-12) {
                            assert!(apart, "{p:?}");
                            seen[1] += 1;
                        }
                    }
                }
            }
        }
        assert!(seen.iter().all(|&n| n > 3000), "{seen:?}");
    }

    /// A depth changes no faster than its position moves: the grid is right to a step.
    #[test]
    fn rough_depths_are_near() {
        let shapes = [l(), ring(), star()];
        let mut rng = Rng::new(3);
        for a in &shapes {
            let zone = Zone::new(&overlap_positions(&convex::without_holes(a), &convex::pieces(&l())));
            let step = zone.bounds.width().max(zone.bounds.height()) / STEPS as f64;
            for _ in 0..2000 {
                let p = Point::new(rng.between(-60.0, 60.0), rng.between(-60.0, 60.0));
                assert!((zone.depth(p, 0.0) - zone.rough_depth(p)).abs() <= 1.5 * step, "{p:?}");
            }
        }
    }

    /// Found by the test above: an inward edge of a hair's length made the half-plane test miss a ring-on-ring overlap.
    #[test]
    fn an_inward_hair_does_not_hide_the_inside() {
        let hair = 1e-10;
        let outline =
            [[0., 0.], [30., 0.], [30., 10.], [30. - hair, 10. + hair / 9.], [30., 10. + hair], [30., 30.], [0., 30.]];
        let zone = Zone::new(&Polygon::simple(outline.map(Point::from).to_vec()).into());
        for p in [Point::new(15.0, 15.0), Point::new(29.0, 9.0), Point::new(1.0, 29.0), Point::new(29.0, 29.0)] {
            assert!(zone.depth(p, 0.0) > 0.9 && zone.blocks(p, 1e-9), "{p:?}");
        }
    }

    /// Found on combs that interlock: rebuilt from start and vector, an edge's end missed the next edge's start by a bit,
    /// and a position at that very height was counted on the wrong side.
    #[test]
    fn heights_of_corners_are_counted_once() {
        let mut rng = Rng::new(7);
        let mut off = 0;
        for _ in 0..2000 {
            // A step on the left border at height y: inside for x > 0 whatever its bits are.
            let (low, y, high) = (-rng.between(1.0, 90.0), rng.between(-0.3, 0.3), rng.between(1.0, 90.0));
            let step = [[0.0, low], [10.0, low], [10.0, high], [0.0, high], [0.5, y]].map(Point::from);
            let zone = Zone::new(&Polygon::simple(step.to_vec()).into());
            off += usize::from(low + (y - low) != y || high + (y - high) != y);
            assert!(zone.blocks(Point::new(5.0, y), 1e-9), "{y}");
            assert!(!zone.blocks(Point::new(0.1, y), 1e-9), "{y}");
        }
        assert!(off > 100, "the bits must differ in some: {off}");
    }

    #[test]
    fn a_peg_as_wide_as_its_hole_keeps_a_position() {
        let mut frame = Polygon::rectangle(Bounds::new(Point::new(0., 0.), Point::new(40., 40.)));
        let mut hole = Polygon::rectangle(Bounds::new(Point::new(10., 10.), Point::new(30., 30.))).outer;
        hole.reverse();
        frame.holes.push(hole);
        let peg = Region::rectangle(Bounds::new(Point::new(0., 0.), Point::new(20., 20.)));
        let zone = Zone::new(&overlap_positions(&convex::without_holes(&frame.into()), &convex::pieces(&peg)));
        assert!(!zone.blocks(Point::new(10.0, 10.0), 1e-9));
        assert!(zone.vertices().any(|v| v.distance(Point::new(10.0, 10.0)) < 1e-8));
        assert!(zone.blocks(Point::new(10.1, 10.0), 1e-9));
    }
}
