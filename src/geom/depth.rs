//! How far two regions overlap.

use super::{Point, Region, boolean, hull};

/// An overlap: what lies in both, and the move that would part them there.
#[derive(Debug, Clone, PartialEq)]
pub struct Overlap {
    /// What lies in both regions.
    pub region: Region,
    /// Least width over all directions of the deepest piece of the overlap, mm: for two convex pieces that meet at
    /// a corner or an edge this is the move that parts them; a lower bound of it otherwise.
    pub depth_mm: f64,
    /// Unit direction of that move.
    pub direction: Point,
}

/// The overlap of two regions, `None` where they share no area (under 1e-9 mm²).
pub fn overlap(a: &Region, b: &Region) -> Option<Overlap> {
    if !a.bounds().overlaps(b.bounds()) {
        return None;
    }
    let both = boolean::intersection(a, b);
    if both.area() < 1e-9 {
        return None;
    }
    let (depth_mm, direction) = both
        .polygons
        .iter()
        .map(|p| hull::least_width(&hull::convex_hull(p.outer.iter().copied())))
        .max_by(|x, y| x.0.total_cmp(&y.0))?;
    Some(Overlap { region: both, depth_mm, direction })
}
