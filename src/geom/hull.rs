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
        let iter: &mut dyn Iterator<Item = &Point> =
            if pass == 0 { &mut pts.iter() } else { &mut pts.iter().rev() };
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
