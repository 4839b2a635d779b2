//! Mitred offsets where nothing vanishes and nothing meets: corner by corner, many times quicker than an overlay.

use super::{Point, Polygon, region::loop_area};

/// Corners sharper than 30° between the edges are left to whoever cuts them off: −cos 30°.
const SHARPEST: f64 = -0.866_025_403_784_438_6;
/// Closer than this is met, mm.
const NEAR_MM: f64 = 1e-9;
/// Holes up to here are compared with each other.
const MOST_HOLES: usize = 16;
/// Pairs of edges looked at, for each edge, before giving up: more are near one another only in odd shapes.
const MOST_PAIRS: usize = 64;

/// The polygon with every edge moved outwards by `by_mm` (inwards where negative) and every corner kept. `None` wherever that is
/// not the whole answer, or may not be: an edge vanishes, borders meet, a corner is too sharp, the shape is too tangled to tell.
///
/// Edges change their lengths evenly with the distance. One that vanished on the way has turned round at its end, and borders
/// that met on the way cross at the end, unless one has passed the other whole; all three are looked for.
pub(super) fn simple(polygon: &Polygon, by_mm: f64) -> Option<Polygon> {
    if polygon.holes.len() > MOST_HOLES {
        return None;
    }
    let outer = moved(&polygon.outer, by_mm)?;
    let holes: Vec<Vec<Point>> = polygon.holes.iter().map(|h| moved(h, by_mm)).collect::<Option<_>>()?;
    let apart = |i: usize| {
        let at = holes[i][0];
        inside(&outer, at) && (0..holes.len()).all(|j| i == j || !inside(&holes[j], at))
    };
    let whole = loop_area(&outer) > 0.0 && holes.iter().all(|h| loop_area(h) < 0.0);
    (whole && (0..holes.len()).all(apart) && none_meet(std::iter::once(&outer).chain(&holes)))
        .then_some(Polygon { outer, holes })
}

/// One loop, its inside on the left.
fn moved(points: &[Point], by_mm: f64) -> Option<Vec<Point>> {
    let n = points.len();
    if n < 3 {
        return None;
    }
    let mut along = Vec::with_capacity(n);
    for i in 0..n {
        let edge = points[(i + 1) % n] - points[i];
        let length = edge.length_squared().sqrt();
        if length.is_nan() || length < NEAR_MM {
            return None;
        }
        along.push(edge * (1.0 / length));
    }
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let (u, v) = (along[(i + n - 1) % n], along[i]);
        let cos = u.dot(v);
        if cos < SHARPEST {
            return None;
        }
        // Both edges' normals together, so long that either edge moves by the distance.
        out.push(points[i] + Point::new(u.y + v.y, -u.x - v.x) * (by_mm / (1.0 + cos)));
    }
    (0..n).all(|i| (out[(i + 1) % n] - out[i]).dot(along[i]) > NEAR_MM).then_some(out)
}

/// Even-odd rule; borders are compared by [`none_meet`].
fn inside(l: &[Point], p: Point) -> bool {
    let mut odd = false;
    for (i, &a) in l.iter().enumerate() {
        let b = l[(i + 1) % l.len()];
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            odd = !odd;
        }
    }
    odd
}

struct Edge {
    a: Point,
    b: Point,
    low_x: f64,
    high_x: f64,
    low_y: f64,
    high_y: f64,
    /// Number of its first corner, over all loops, and of its last.
    ends: [u32; 2],
}

/// True where no two edges come nearer than [`NEAR_MM`], but for neighbours at their corner. A sweep along x.
fn none_meet<'a>(loops: impl Iterator<Item = &'a Vec<Point>>) -> bool {
    let mut edges: Vec<Edge> = Vec::new();
    for l in loops {
        let first = edges.len();
        for (i, &a) in l.iter().enumerate() {
            let next = (i + 1) % l.len();
            let b = l[next];
            edges.push(Edge {
                a,
                b,
                low_x: a.x.min(b.x) - NEAR_MM,
                high_x: a.x.max(b.x),
                low_y: a.y.min(b.y) - NEAR_MM,
                high_y: a.y.max(b.y),
                ends: [(first + i) as u32, (first + next) as u32],
            });
        }
    }
    let mut left = edges.len() * MOST_PAIRS;
    edges.sort_unstable_by(|p, q| p.low_x.total_cmp(&q.low_x));
    let mut open: Vec<usize> = Vec::new();
    for (k, e) in edges.iter().enumerate() {
        if left < open.len() {
            return false;
        }
        left -= open.len();
        open.retain(|&o| edges[o].high_x >= e.low_x);
        for &o in &open {
            let f = &edges[o];
            let apart = e.low_y > f.high_y || f.low_y > e.high_y;
            let neighbours = e.ends[0] == f.ends[1] || e.ends[1] == f.ends[0];
            if !apart && !neighbours && meet(e, f) {
                return false;
            }
        }
        open.push(k);
    }
    true
}

/// Neither lies wholly on one side of the other's line.
fn meet(e: &Edge, f: &Edge) -> bool {
    let one_side = |e: &Edge, f: &Edge| {
        let along = e.b - e.a;
        let (p, q) = (along.cross(f.a - e.a), along.cross(f.b - e.a));
        let near = NEAR_MM * along.length_squared().sqrt();
        p > near && q > near || p < -near && q < -near
    };
    !one_side(e, f) && !one_side(f, e)
}

#[cfg(test)]
mod tests {
    use proptest::{prelude::*, test_runner::TestRunner};

    use super::*;
    use crate::geom::{
        Bounds, Region, boolean, offset,
        samples::{bracket, frame, rippled, star},
    };

    fn polygon(r: Region) -> Polygon {
        r.polygons.into_iter().next().unwrap_or_default()
    }

    /// P(d) and A(d) of a block and a frame; the bracket by shapely (`offset`): 276 mm² inset by 2 mm.
    #[test]
    fn known_shapes() {
        assert!(simple(&polygon(bracket()), -2.0).is_some_and(|p| (p.area() - 276.0).abs() < 1e-9));
        let ring = simple(&polygon(frame(20.0, 6.0)), -1.0);
        assert!(ring.is_some_and(|p| (p.area() - (18.0 * 18.0 - 8.0 * 8.0)).abs() < 1e-9));
    }

    /// Too far in every way: a block vanishes, a frame's borders cross or pass each other, a hole closes, a neck breaks, a
    /// needle is cut off, a comb's teeth grow together.
    #[test]
    fn what_meets_is_refused() {
        let block = |x: f64, y: f64| Polygon::rectangle(Bounds::new(Point::default(), Point::new(x, y)));
        let shape = |l: &[(f64, f64)]| Polygon::simple(l.iter().map(|&(x, y)| Point::new(x, y)).collect());
        let dumbbell = shape(&[
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, 1.8),
            (8.0, 1.8),
            (8.0, 0.0),
            (12.0, 0.0),
            (12.0, 4.0),
            (8.0, 4.0),
            (8.0, 2.2),
            (4.0, 2.2),
            (4.0, 4.0),
            (0.0, 4.0),
        ]);
        let needle = shape(&[(0.0, 0.0), (10.0, 1.0), (0.0, 2.0)]);
        let notch =
            shape(&[(0.0, 0.0), (9.0, 0.0), (9.0, 5.0), (5.0, 5.0), (5.0, 1.0), (4.0, 1.0), (4.0, 5.0), (0.0, 5.0)]);
        for (p, by) in [
            (block(4.0, 4.0), -2.0),
            (block(4.0, 20.0), -3.0),
            (polygon(frame(20.0, 6.0)), -4.0),
            (polygon(frame(20.0, 16.0)), -1.5),
            (polygon(frame(20.0, 6.0)), 3.5),
            (dumbbell.clone(), -0.3),
            (needle, -0.1),
            (notch.clone(), 0.6),
            (Polygon::default(), 1.0),
        ] {
            assert_eq!(simple(&p, by), None, "{p:?} by {by}");
        }
        assert!(simple(&dumbbell, -0.15).is_some() && simple(&notch, 0.4).is_some());
    }

    /// Where it answers, an overlay answers the same, but for turns that it cuts and its rounding: 1e-5 of the distance.
    #[test]
    fn as_by_overlay() {
        let answers = std::cell::Cell::new(0);
        let all = (prop_oneof![star(), rippled()], -4.0..4.0f64, 0.3..3.0f64);
        let outcome = TestRunner::new(ProptestConfig::with_cases(512)).run(&all, |(r, by, bore)| {
            let hole = boolean::difference(&r, &crate::geom::disc::regular(Point::default(), bore, 24).into());
            for region in [r, hole] {
                if let [p] = &region.polygons[..]
                    && let Some(quick) = simple(p, by)
                {
                    answers.set(answers.get() + 1);
                    let slow = offset::by_overlay(&region, by);
                    let off = boolean::symmetric_difference(&quick.into(), &slow).area();
                    prop_assert!(off < 1e-3 + 3e-5 * by.abs() * slow.perimeter(), "{off} mm² apart");
                }
            }
            Ok(())
        });
        outcome.expect("they agree");
        // Nearly round loops keep all their edges, so that it has something to answer.
        assert!(answers.get() > 100, "{} answers", answers.get());
    }
}
