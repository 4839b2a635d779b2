//! Area patterns as lines and dots, so that the window and the writers draw the same.

use super::{Hatch, scene::PT_MM};
use crate::geom::{Bounds, Point, Region};

/// Distance between two lines or dots of a pattern, screen points.
pub const SPACING_PT: f64 = 6.0;

/// Most lines a pattern is given; beyond, the spacing widens.
const MOST: f64 = 2000.0;

/// The lines of a hatch inside a region: 45° for [`Hatch::Single`], 45° and 135° for [`Hatch::Cross`], none for
/// [`Hatch::Dots`]. `spacing_mm` is measured across them. Lines hang on the origin, so they stay put while the region
/// moves or the view pans.
pub fn lines(region: &Region, hatch: Hatch, spacing_mm: f64) -> Vec<[Point; 2]> {
    let directions: &[Point] = match hatch {
        Hatch::Single => &[Point::new(1.0, 1.0)],
        Hatch::Cross => &[Point::new(1.0, 1.0), Point::new(1.0, -1.0)],
        Hatch::Dots => &[],
    };
    directions.iter().flat_map(|d| parallels(region, d.normalized(), spacing_mm, None)).collect()
}

/// The dots of [`Hatch::Dots`] inside a region, rows offset by half a step; none for the other patterns.
pub fn dots(region: &Region, hatch: Hatch, spacing_mm: f64) -> Vec<Point> {
    if hatch != Hatch::Dots {
        return Vec::new();
    }
    let along = Point::new(1.0, 0.0);
    let mut found = Vec::new();
    for [a, b] in parallels(region, along, spacing_mm * 0.5, None) {
        let odd = ((a.y / (spacing_mm * 0.5)).round() as i64).rem_euclid(2) as f64;
        let shift = odd * spacing_mm * 0.5;
        let mut i = ((a.x - shift) / spacing_mm).ceil();
        while i * spacing_mm + shift <= b.x && found.len() < 20_000 {
            found.push(Point::new(i * spacing_mm + shift, a.y));
            i += 1.0;
        }
    }
    found
}

/// Pieces inside the region of the parallels to `along` (a unit vector) at whole multiples of the spacing; only those
/// whose distance from the origin, across `along`, lies in `range`, where one is given.
pub(super) fn parallels(region: &Region, along: Point, spacing_mm: f64, range: Option<(f64, f64)>) -> Vec<[Point; 2]> {
    let across = along.perpendicular();
    let edges: Vec<(Point, Point)> = region
        .edges()
        .map(|(a, b)| (Point::new(a.dot(along), a.dot(across)), Point::new(b.dot(along), b.dot(across))))
        .collect();
    let mut b = Bounds::of(edges.iter().map(|e| e.0));
    if let Some((least, most)) = range {
        b.min.y = b.min.y.max(least);
        b.max.y = b.max.y.min(most);
    }
    if b.is_empty() || !b.min.is_finite() || !b.max.is_finite() || spacing_mm <= 0.0 {
        return Vec::new();
    }
    let step = spacing_mm * (b.height() / spacing_mm / MOST).ceil().max(1.0);
    let mut out = Vec::new();
    let mut k = (b.min.y / step).ceil();
    let mut cuts = Vec::new();
    while k * step <= b.max.y {
        let y = k * step;
        cuts.clear();
        for (p, q) in &edges {
            if (p.y > y) != (q.y > y) {
                cuts.push(p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x));
            }
        }
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            out.push([along * pair[0] + across * y, along * pair[1] + across * y]);
        }
        k += 1.0;
    }
    out
}

/// The usual spacing on paper, mm.
pub const PAPER_SPACING_MM: f64 = SPACING_PT * PT_MM;

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(10.0, 10.0)))
    }

    #[test]
    fn hatch_lines_lie_inside_and_at_45_degrees() {
        let found = lines(&square(), Hatch::Single, 1.0);
        // Across 45°, a 10 mm square is 14.14 mm high: 14 or 15 multiples of 1 mm.
        assert!((14..=15).contains(&found.len()), "{}", found.len());
        for [a, b] in found {
            assert!(((b - a).x - (b - a).y).abs() < 1e-9);
            assert!(square().bounds().grown(1e-9).contains(a) && square().bounds().grown(1e-9).contains(b));
        }
        assert!(lines(&square(), Hatch::Cross, 1.0).len() >= 28);
    }

    /// A hatch's length times its spacing is about the area, holes taken off.
    #[test]
    fn hatch_leaves_holes_free() {
        let mut r = square();
        r.polygons[0].holes.push(vec![
            Point::new(3.0, 3.0),
            Point::new(3.0, 7.0),
            Point::new(7.0, 7.0),
            Point::new(7.0, 3.0),
        ]);
        let length: f64 = lines(&r, Hatch::Single, 0.1).iter().map(|[a, b]| a.distance(*b)).sum();
        assert!((length * 0.1 - 84.0).abs() < 0.5, "{length}");
    }

    #[test]
    fn dots_lie_inside_and_a_huge_region_ends() {
        let found = dots(&square(), Hatch::Dots, 1.0);
        assert!(found.len() > 150 && found.iter().all(|&p| square().bounds().contains(p)));
        let huge = Region::rectangle(Bounds::new(Point::default(), Point::new(1e9, 1e9)));
        assert!(lines(&huge, Hatch::Single, 1.0).len() <= MOST as usize + 1);
        assert!(dots(&huge, Hatch::Dots, 1.0).len() <= 20_000);
    }
}
