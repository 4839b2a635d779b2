//! The widest spot of a region.

use std::{cmp::Ordering, collections::BinaryHeap};

use super::{Point, Region};

/// A circle that lies inside a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InnerCircle {
    /// Its centre.
    pub centre: Point,
    /// Its radius, mm.
    pub radius_mm: f64,
}

/// Signed distance from the border: positive inside, holes respected.
fn depth(region: &Region, p: Point) -> f64 {
    let (mut inside, mut nearest) = (false, f64::INFINITY);
    for (a, b) in region.edges() {
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            inside = !inside;
        }
        let d = b - a;
        let t = if d.length_squared() > 0.0 { ((p - a).dot(d) / d.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
        nearest = nearest.min((p - (a + d * t)).length_squared());
    }
    if inside { nearest.sqrt() } else { -nearest.sqrt() }
}

struct Cell {
    centre: Point,
    half: f64,
    depth: f64,
}

impl Cell {
    fn new(region: &Region, centre: Point, half: f64) -> Self {
        Self { centre, half, depth: depth(region, centre) }
    }
    /// No point of the cell can be deeper: distance to the border changes by at most the way walked.
    fn best(&self) -> f64 {
        self.depth + self.half * std::f64::consts::SQRT_2
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Self) -> Ordering {
        self.best().total_cmp(&other.best())
    }
}

/// The largest circle inside a region, its radius within `tolerance_mm` of the largest possible; `None` for a region
/// without area. Quadtree search, best bound first; stops after 4000 cells with the best so far.
pub fn inner_circle(region: &Region, tolerance_mm: f64) -> Option<InnerCircle> {
    let b = region.bounds();
    let size = b.width().min(b.height());
    if b.is_empty() || size <= 0.0 || !b.min.is_finite() || !b.max.is_finite() {
        return None;
    }
    let (nx, ny) = ((b.width() / size).ceil().min(32.0), (b.height() / size).ceil().min(32.0));
    let half = (b.width() / nx).max(b.height() / ny) / 2.0;
    let mut cells = BinaryHeap::new();
    let mut best = Cell::new(region, super::moments::moments(region).centroid, 0.0);
    for i in 0..nx as usize {
        for j in 0..ny as usize {
            let c = b.min + Point::new((2 * i + 1) as f64 * half, (2 * j + 1) as f64 * half);
            cells.push(Cell::new(region, c, half));
        }
    }
    for _ in 0..4000 {
        let Some(cell) = cells.pop() else { break };
        let done = cell.best() - best.depth <= tolerance_mm;
        let h = cell.half / 2.0;
        let centre = cell.centre;
        if cell.depth > best.depth {
            best = cell;
        }
        if done {
            break;
        }
        for (x, y) in [(-h, -h), (h, -h), (-h, h), (h, h)] {
            cells.push(Cell::new(region, centre + Point::new(x, y), h));
        }
    }
    (best.depth > 0.0).then_some(InnerCircle { centre: best.centre, radius_mm: best.depth })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, Polygon, disc};

    #[test]
    fn a_square_has_its_inscribed_circle() {
        let r = Region::rectangle(Bounds::new(Point::new(10.0, 20.0), Point::new(30.0, 40.0)));
        let c = inner_circle(&r, 0.01).expect("has area");
        assert!((c.radius_mm - 10.0).abs() < 0.01 && c.centre.distance(Point::new(20.0, 30.0)) < 0.02);
    }

    /// Ring 12 outside, 8 inside: the widest spot is 2 mm deep and lies on the band, not in the hole.
    #[test]
    fn a_ring_is_met_on_its_band() {
        let mut hole = disc::around(Point::default(), 8.0, 0.01).outer;
        hole.reverse();
        let ring: Region =
            Polygon { outer: disc::inside(Point::default(), 12.0, 0.01).outer, holes: vec![hole] }.into();
        let c = inner_circle(&ring, 0.05).expect("has area");
        assert!((c.radius_mm - 2.0).abs() < 0.08, "{c:?}");
        assert!((c.centre.length() - 10.0).abs() < 0.1 && ring.contains(c.centre));
    }

    #[test]
    fn nothing_has_none() {
        assert_eq!(inner_circle(&Region::EMPTY, 0.1), None);
        let flat = Region::from(Polygon { outer: vec![Point::default(), Point::new(5.0, 0.0)], holes: vec![] });
        assert_eq!(inner_circle(&flat, 0.1), None);
    }
}
