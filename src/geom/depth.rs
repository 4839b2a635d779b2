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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::samples::{frame, square};

    #[test]
    fn squares_pushed_into_each_other() {
        let o = overlap(&square(0.0, 0.0, 10.0), &square(8.0, 1.0, 10.0)).expect("they overlap");
        assert!((o.depth_mm - 2.0).abs() < 1e-9 && (o.region.area() - 18.0).abs() < 1e-9);
        assert!((o.direction.x.abs() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn touching_and_parted_do_not_overlap() {
        assert_eq!(overlap(&square(0.0, 0.0, 10.0), &square(10.0, 0.0, 10.0)), None);
        assert_eq!(overlap(&square(0.0, 0.0, 10.0), &square(11.0, 0.0, 10.0)), None);
        assert_eq!(overlap(&frame(20.0, 10.0), &square(-4.0, -4.0, 8.0)), None);
        assert_eq!(overlap(&Region::EMPTY, &square(0.0, 0.0, 1.0)), None);
    }

    #[test]
    fn the_deepest_piece_counts() {
        // A bar through both sides of a frame: 3 mm into one, 1 mm into the other.
        let bar = Region::rectangle(crate::geom::Bounds::new(Point::new(-8.0, -2.0), Point::new(6.0, 2.0)));
        let o = overlap(&frame(20.0, 10.0), &bar).expect("it does");
        assert_eq!(o.region.polygons.len(), 2);
        assert!((o.depth_mm - 3.0).abs() < 1e-9);
    }
}
