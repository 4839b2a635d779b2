//! Convex hull and its width.

use super::Point;

/// Convex hull, counter-clockwise, without points inside its edges (Andrew's monotone chain, O(n log n)).
/// Fewer than three points come back where the input is empty, a point, or a line.
pub fn convex_hull(points: impl IntoIterator<Item = Point>) -> Vec<Point> {
    let mut pts: Vec<Point> = points.into_iter().collect();
    pts.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    pts.dedup();
    if pts.len() < 3 {
        return pts;
    }
    let mut hull: Vec<Point> = Vec::with_capacity(pts.len() + 1);
    for pass in 0..2 {
        let base = hull.len();
        let iter: &mut dyn Iterator<Item = &Point> = if pass == 0 { &mut pts.iter() } else { &mut pts.iter().rev() };
        for &p in iter {
            while hull.len() >= base + 2 {
                let (a, b) = (hull[hull.len() - 2], hull[hull.len() - 1]);
                if (b - a).cross(p - b) > 0.0 {
                    break;
                }
                hull.pop();
            }
            hull.push(p);
        }
        hull.pop();
    }
    hull
}

/// Least width of a convex loop over all directions (the distance of its closest pair of parallel support lines) and
/// the unit direction across it. Zero for fewer than three points.
pub fn least_width(hull: &[Point]) -> (f64, Point) {
    let mut best = (f64::INFINITY, Point::new(1.0, 0.0));
    if hull.len() < 3 {
        return (0.0, best.1);
    }
    for (a, b) in super::region::loop_edges(hull) {
        let normal = (b - a).perpendicular().normalized();
        let width = hull.iter().map(|&p| (p - a).dot(normal)).fold(0.0, f64::max);
        if width < best.0 {
            best = (width, normal);
        }
    }
    best
}

/// Longest distance between two corners of a convex loop; 0 for fewer than two.
pub fn longest_span(hull: &[Point]) -> f64 {
    let of = |(i, &a): (usize, &Point)| hull[i + 1..].iter().map(|&b| (b - a).length_squared()).fold(0.0, f64::max);
    hull.iter().enumerate().map(of).fold(0.0, f64::max).sqrt()
}

/// Long and short side of the rectangle of least area round a convex loop; a side of it lies on one of the loop's (Freeman and
/// Shapira 1975). Zeros for no points.
pub fn least_rectangle(hull: &[Point]) -> [f64; 2] {
    if hull.len() < 3 {
        return [longest_span(hull), 0.0];
    }
    let mut best = [f64::INFINITY; 2];
    for (a, b) in super::region::loop_edges(hull) {
        let along = (b - a).normalized();
        let extent = |axis: Point| {
            let ends = hull.iter().map(|p| (*p - a).dot(axis));
            let (least, most) = ends.fold((0.0_f64, 0.0_f64), |(l, m), v| (l.min(v), m.max(v)));
            most - least
        };
        let (u, v) = (extent(along), extent(along.perpendicular()));
        if u * v < best[0] * best[1] {
            best = [u.max(v), u.min(v)];
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::geom::samples::{bracket, star};

    #[test]
    fn the_brackets_hull_and_width() {
        let hull = convex_hull(bracket().vertices());
        assert_eq!(hull.len(), 5);
        assert!((super::super::region::loop_area(&hull) - 700.0).abs() < 1e-9);
        // Across the corner: from (0,0) to the line x + y = 40.
        let (width, across) = least_width(&hull);
        assert!((width - 40.0 / 2.0_f64.sqrt()).abs() < 1e-9, "{width}");
        assert!((across.x.abs() - across.y.abs()).abs() < 1e-9);
    }

    #[test]
    fn points_and_lines_have_no_width() {
        assert_eq!(convex_hull([]).len(), 0);
        assert_eq!(convex_hull([Point::new(1.0, 2.0); 4]).len(), 1);
        let line = convex_hull((0..9).map(|i| Point::new(f64::from(i), f64::from(2 * i))));
        assert_eq!(line.len(), 2);
        assert_eq!(least_width(&line).0, 0.0);
        assert_eq!((least_rectangle(&line)[1], least_rectangle(&[])), (0.0, [0.0; 2]));
        assert_eq!(longest_span(&line), least_rectangle(&line)[0]);
    }

    #[test]
    fn the_rectangle_round_a_turned_one() {
        let corners = [[0.0, 0.0], [20.0, 0.0], [20.0, 5.0], [0.0, 5.0], [7.0, 2.0]].map(Point::from);
        for turn in [0.0, 0.3, 1.1, 2.9] {
            let hull = convex_hull(corners.map(|p| p.turned(turn)));
            let [long, short] = least_rectangle(&hull);
            assert!((long - 20.0).abs() < 1e-9 && (short - 5.0).abs() < 1e-9, "{long} {short}");
            assert!((longest_span(&hull) - 425.0_f64.sqrt()).abs() < 1e-9);
        }
    }

    proptest! {
        #[test]
        fn all_points_lie_left_of_every_edge(r in star()) {
            let hull = convex_hull(r.vertices());
            for (a, b) in super::super::region::loop_edges(&hull) {
                for p in r.vertices() {
                    prop_assert!((b - a).cross(p - a) >= -1e-9);
                }
            }
        }
        /// No direction is narrower than the least width.
        #[test]
        fn no_direction_is_narrower(r in star(), angle in 0.0..3.2_f64) {
            let hull = convex_hull(r.vertices());
            let along = Point::new(1.0, 0.0).turned(angle);
            let reach = |f: fn(f64, f64) -> f64, from: f64| hull.iter().map(|p| p.dot(along)).fold(from, f);
            let width = reach(f64::max, f64::NEG_INFINITY) - reach(f64::min, f64::INFINITY);
            prop_assert!(least_width(&hull).0 <= width + 1e-9);
        }
    }
}
