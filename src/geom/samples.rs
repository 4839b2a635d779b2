//! Shapes for the tests of this floor.

use proptest::prelude::{Strategy, prop};

use super::{Point, Polygon, Region};

/// (0,0)(30,0)(30,10)(10,10)(10,30)(0,30): the worked example of the reference notes.
pub(crate) fn bracket() -> Region {
    let l = [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [10.0, 10.0], [10.0, 30.0], [0.0, 30.0]];
    Polygon::simple(l.map(Point::from).to_vec()).into()
}

/// A square with its lower left corner at (x, y).
pub(crate) fn square(x: f64, y: f64, side: f64) -> Region {
    let corners = [[x, y], [x + side, y], [x + side, y + side], [x, y + side]];
    Polygon::simple(corners.map(Point::from).to_vec()).into()
}

/// A square frame round the origin, `outer` wide with a hole `inner` wide.
pub(crate) fn frame(outer: f64, inner: f64) -> Region {
    let mut p = square(-outer / 2.0, -outer / 2.0, outer).polygons.remove(0);
    let mut hole = square(-inner / 2.0, -inner / 2.0, inner).polygons.remove(0).outer;
    hole.reverse();
    p.holes.push(hole);
    p.into()
}

/// Star-shaped loops round the origin: any number of deep dents, never crossing themselves.
pub(crate) fn star() -> impl Strategy<Value = Region> {
    prop::collection::vec(2.0..20.0_f64, 3..60).prop_map(|radii| {
        let n = radii.len() as f64;
        let at = |(i, r): (usize, f64)| Point::new(r, 0.0).turned(std::f64::consts::TAU * i as f64 / n);
        Polygon::simple(radii.into_iter().enumerate().map(at).collect()).into()
    })
}

/// Nearly round loops with fine ripples and, sometimes, a rippled hole: what a section of a scanned part looks like.
pub(crate) fn rippled() -> impl Strategy<Value = Region> {
    (prop::collection::vec(-0.05..0.05_f64, 20..200), prop::option::of(prop::collection::vec(-0.05..0.05_f64, 12..60)))
        .prop_map(|(outer, hole)| {
            let ring = |ripples: Vec<f64>, radius: f64| {
                let n = ripples.len() as f64;
                let at =
                    |(i, r): (usize, f64)| Point::new(radius + r, 0.0).turned(std::f64::consts::TAU * i as f64 / n);
                ripples.into_iter().enumerate().map(at).collect::<Vec<Point>>()
            };
            let mut p = Polygon::simple(ring(outer, 12.0));
            if let Some(h) = hole {
                let mut h = ring(h, 5.0);
                h.reverse();
                p.holes.push(h);
            }
            p.into()
        })
}

/// Points along all borders, about `step` apart, corners included.
pub(crate) fn border_points(region: &Region, step: f64) -> Vec<Point> {
    let mut points = Vec::new();
    for (a, b) in region.edges() {
        let n = (a.distance(b) / step).ceil().max(1.0) as usize;
        points.extend((0..n).map(|i| a.lerp(b, i as f64 / n as f64)));
    }
    points
}

/// Distance of a point from the nearest edge, edge by edge.
pub(crate) fn border_distance(region: &Region, p: Point) -> f64 {
    let one = |(a, b): (Point, Point)| {
        let d = b - a;
        let l = d.length_squared();
        let t = if l > 0.0 { ((p - a).dot(d) / l).clamp(0.0, 1.0) } else { 0.0 };
        p.distance(a + d * t)
    };
    region.edges().map(one).fold(f64::INFINITY, f64::min)
}
