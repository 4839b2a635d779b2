//! Two small marks at opposite corners of the bed: they show whether a file was opened unmoved and unturned.

use super::prism::prism;
use crate::{
    geom::{Bounds, Point, Polygon, Region, boolean, offset},
    mesh::TriMesh,
};

const SIDE_MM: f64 = 2.0;

/// A square mark at the front left and a triangular one at the back right, `height_mm` high. They lie in `room` (the bed
/// less its edge margin) clear of `taken` (keep-outs, shadows, footings) where there is such a place, and in the corners
/// of the room's box otherwise.
pub(super) fn corner_marks(room: &Region, taken: &Region, height_mm: f64) -> [(&'static str, TriMesh); 2] {
    let half = SIDE_MM / 2.0;
    let free = boolean::difference(room, taken);
    // Wherever a disc round the square fits, the square does.
    let centres = offset::shrink(&free, half * std::f64::consts::SQRT_2, 0.01);
    let box_of_room = room.bounds().grown(-half);
    let d = Point::new(half, half);
    let place = |towards: f64, fallback: Point| {
        let corner = Region::rectangle(Bounds::new(fallback - d, fallback + d));
        if boolean::difference(&corner, &free).area() < 1e-9 {
            return fallback;
        }
        centres
            .vertices()
            .max_by(|a, b| ((a.x + a.y) * towards).total_cmp(&((b.x + b.y) * towards)))
            .unwrap_or(fallback)
    };
    let front = place(-1.0, box_of_room.min);
    let back = place(1.0, box_of_room.max);
    let square = Region::rectangle(Bounds::new(front - d, front + d));
    let triangle = Polygon::simple(vec![back + d, back + Point::new(-half, half), back + Point::new(half, -half)]);
    [
        ("corner mark front left", prism(&square, 0.0, height_mm)),
        ("corner mark back right", prism(&triangle.into(), 0.0, height_mm)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_lie_in_the_corners_clear_of_what_is_there() {
        let room = Region::rectangle(Bounds::new(Point::new(4.0, 4.0), Point::new(236.0, 196.0)));
        let clip = Region::rectangle(Bounds::new(Point::new(0.0, 0.0), Point::new(20.0, 15.0)));
        let [(_, a), (_, b)] = corner_marks(&room, &clip, 0.2);
        assert_eq!((a.triangles.len(), b.triangles.len()), (12, 8));
        for v in a.vertices.iter().chain(&b.vertices) {
            assert!(room.bounds().grown(1e-9).contains(Point::new(v[0], v[1])), "{v:?}");
            assert!(!(v[0] < 20.0 - 1e-9 && v[1] < 15.0 - 1e-9), "{v:?} lies in the clip");
        }
        assert!(b.vertices.iter().any(|v| v[0] > 230.0 && v[1] > 190.0));
    }

    #[test]
    fn a_full_bed_gets_them_all_the_same() {
        let room = Region::rectangle(Bounds::new(Point::default(), Point::new(100.0, 100.0)));
        let [(_, a), _] = corner_marks(&room, &room, 0.2);
        assert_eq!(a.vertices.iter().map(|v| v[0]).fold(f64::INFINITY, f64::min), 0.0);
    }
}
