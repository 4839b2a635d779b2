//! Union, intersection, difference of regions (by `i_overlay`, 64-bit grid: exact to about 1e-12 mm on a bed).

use i_overlay::{
    core::{
        fill_rule::FillRule,
        overlay_rule::OverlayRule,
        solver::{Precision, Solver},
    },
    float::{
        overlay::{FloatOverlay, OverlayOptions},
        simplify::SimplifyShape,
        single::SingleFloatOverlay,
    },
};

use super::{Bounds, Point, Polygon, Region};

/// A region as nested vectors, the form `i_overlay` reads and writes.
pub(super) type Shapes = Vec<Vec<Vec<Point>>>;

/// Largest coordinate that `i_overlay` is given, mm. It panics beyond 2^500; a hundred orders of magnitude below that, squares and
/// products of areas are still numbers.
const MOST_MM: f64 = 1e60;

/// Edges that lie on each other but for rounding are split where they cross, and the pieces again, round after round; with each round
/// `i_overlay` draws together ends that are farther apart, beginning at one step of its grid. On the 64-bit grid that is far below
/// the rounding of the coordinates, and before it is reached there may be millions of pieces (a part laid on its side did so). Here
/// it begins at 2^10 steps, 1e-13 mm on a bed, and goes on four times as fast.
const SOLVER: Solver = Solver { precision: Precision { start: 20, progression: 4 }, ..Solver::AUTO };

/// Within what the grid takes: half-planes without end are drawn in, and a point that is no number goes.
fn tame(points: &[Point]) -> Vec<Point> {
    let real = points.iter().filter(|p| !p.x.is_nan() && !p.y.is_nan());
    real.map(|p| Point::new(p.x.clamp(-MOST_MM, MOST_MM), p.y.clamp(-MOST_MM, MOST_MM))).collect()
}

/// A distance that `i_overlay` takes; 0 where it is no number.
pub(super) fn tame_mm(mm: f64) -> f64 {
    if mm.is_nan() { 0.0 } else { mm.clamp(-MOST_MM, MOST_MM) }
}

pub(super) fn to_shapes(region: &Region) -> Shapes {
    region.polygons.iter().map(|p| p.loops().map(|l| tame(l)).collect()).collect()
}

pub(super) fn from_shapes(shapes: Shapes) -> Region {
    Region {
        polygons: shapes
            .into_iter()
            .filter_map(|mut loops| {
                if loops.is_empty() {
                    return None;
                }
                let outer = loops.remove(0);
                Some(Polygon { outer, holes: loops })
            })
            .collect(),
    }
}

/// Everything that lies in any of the regions.
pub fn union<'a>(regions: impl IntoIterator<Item = &'a Region>) -> Region {
    let loops: Vec<Vec<Point>> = regions.into_iter().flat_map(|r| r.loops().cloned()).collect();
    non_zero(&loops)
}

/// Everything that lies in both.
pub fn intersection(a: &Region, b: &Region) -> Region {
    let (p, q) = (a.bounds(), b.bounds());
    if !p.overlaps(q) {
        return Region::EMPTY;
    }
    // What lies in both lies in both boxes: loops cut down to that box first take half the time or less.
    let common = Bounds::new(
        Point::new(p.min.x.max(q.min.x), p.min.y.max(q.min.y)),
        Point::new(p.max.x.min(q.max.x), p.max.y.min(q.max.y)),
    );
    // As boxes are kept: a corner that is no number counts for nothing.
    let within = |p: Point| Point::new(tame_mm(p.x), tame_mm(p.y));
    let common = Bounds::new(within(common.min), within(common.max)).grown(1e-3);
    let (a, b) = (clipped(a, common), clipped(b, common));
    overlay_shapes(&a, &b, OverlayRule::Intersect)
}

/// The loops cut down to a box, each by itself; where a loop leaves the box it runs along the border, perhaps there and
/// back, so that winding numbers inside the box stay as they are. Source: Sutherland and Hodgman 1974.
fn clipped(region: &Region, by: Bounds) -> Shapes {
    type Side<'a> = (&'a dyn Fn(Point) -> f64, &'a dyn Fn(Point) -> Point);
    let cut = |l: &Vec<Point>| {
        let mut points = tame(l);
        // How far inside; and a point of the border put exactly on it, however far away the ends of its edge are.
        let sides: [Side<'_>; 4] = [
            (&|p| p.x - by.min.x, &|p| Point::new(by.min.x, p.y)),
            (&|p| by.max.x - p.x, &|p| Point::new(by.max.x, p.y)),
            (&|p| p.y - by.min.y, &|p| Point::new(p.x, by.min.y)),
            (&|p| by.max.y - p.y, &|p| Point::new(p.x, by.max.y)),
        ];
        for (inside, onto) in sides {
            if points.iter().all(|&p| inside(p) >= 0.0) {
                continue;
            }
            let mut kept = Vec::with_capacity(points.len() + 8);
            for (p, q) in super::region::loop_edges(&points) {
                let (dp, dq) = (inside(p), inside(q));
                if dp >= 0.0 {
                    kept.push(p);
                }
                if (dp >= 0.0) != (dq >= 0.0) {
                    kept.push(onto(p.lerp(q, dp / (dp - dq))));
                }
            }
            points = kept;
        }
        (points.len() >= 3).then_some(points)
    };
    let polygons = region.polygons.iter().map(|p| p.loops().filter_map(cut).collect::<Vec<_>>());
    polygons.filter(|loops| !loops.is_empty()).collect()
}

/// Everything of `a` that does not lie in `b`.
pub fn difference(a: &Region, b: &Region) -> Region {
    overlay(a, b, OverlayRule::Difference)
}

/// As [`intersection`], several times quicker, on a 32-bit grid: exact to about 1e-7 mm on a part of 100 mm.
pub fn intersection_quick(a: &Region, b: &Region) -> Region {
    from_shapes(to_shapes(a).overlay_as::<i32>(&to_shapes(b), OverlayRule::Intersect, FillRule::NonZero))
}

/// As [`difference`], several times quicker, on a 32-bit grid: exact to about 1e-7 mm on a part of 100 mm.
pub fn difference_quick(a: &Region, b: &Region) -> Region {
    from_shapes(to_shapes(a).overlay_as::<i32>(&to_shapes(b), OverlayRule::Difference, FillRule::NonZero))
}

/// Everything that lies in exactly one.
pub fn symmetric_difference(a: &Region, b: &Region) -> Region {
    overlay(a, b, OverlayRule::Xor)
}

/// Fills loops by the non-zero rule: their winding numbers add up, whatever their order. Crossing loops are resolved.
pub fn non_zero(loops: &[Vec<Point>]) -> Region {
    let loops: Vec<Vec<Point>> = loops.iter().map(|l| tame(l)).filter(|l| l.len() >= 3).collect();
    if loops.is_empty() {
        return Region::EMPTY;
    }
    from_shapes(loops.simplify_shape_custom_as::<i64>(FillRule::NonZero, OverlayOptions::default(), SOLVER))
}

fn overlay(a: &Region, b: &Region, rule: OverlayRule) -> Region {
    overlay_shapes(&to_shapes(a), &to_shapes(b), rule)
}

fn overlay_shapes(a: &Shapes, b: &Shapes, rule: OverlayRule) -> Region {
    let mut both = FloatOverlay::<Point, i64>::from_subj_and_clip_custom(a, b, OverlayOptions::default(), SOLVER);
    from_shapes(both.overlay(rule, FillRule::NonZero))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::geom::samples::{bracket, frame, square, star};

    #[test]
    fn squares_that_overlap_by_a_quarter() {
        let (a, b) = (square(0.0, 0.0, 10.0), square(5.0, 5.0, 10.0));
        assert!((union([&a, &b]).area() - 175.0).abs() < 1e-9);
        assert!((intersection(&a, &b).area() - 25.0).abs() < 1e-9);
        assert!((difference(&a, &b).area() - 75.0).abs() < 1e-9);
        assert!((symmetric_difference(&a, &b).area() - 150.0).abs() < 1e-9);
    }

    #[test]
    fn outer_loops_run_counter_clockwise_and_holes_clockwise() {
        let r = difference(&square(0.0, 0.0, 10.0), &square(2.0, 3.0, 4.0));
        assert_eq!((r.polygons.len(), r.polygons[0].holes.len()), (1, 1));
        assert!((r.area() - 84.0).abs() < 1e-9);
        let [outer, hole] = [&r.polygons[0].outer, &r.polygons[0].holes[0]].map(|l| crate::geom::region::loop_area(l));
        assert!((outer - 100.0).abs() < 1e-9 && (hole + 16.0).abs() < 1e-9);
    }

    #[test]
    fn winding_numbers_add_up() {
        let loop_of = |r: &Region| r.polygons[0].outer.clone();
        // Two loops of one sense on top of each other stay filled, an opposite one inside makes a hole.
        let (outer, inner) = (loop_of(&square(0.0, 0.0, 10.0)), loop_of(&square(2.0, 2.0, 4.0)));
        assert!((non_zero(&[outer.clone(), inner.clone()]).area() - 100.0).abs() < 1e-9);
        let back: Vec<Point> = inner.into_iter().rev().collect();
        assert!((non_zero(&[outer, back]).area() - 84.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_in_nothing_out() {
        assert_eq!(non_zero(&[]), Region::EMPTY);
        assert_eq!(non_zero(&[vec![Point::new(1.0, 1.0); 5]]).area(), 0.0);
        assert_eq!(union([&Region::EMPTY, &Region::EMPTY]), Region::EMPTY);
        assert_eq!(intersection(&bracket(), &Region::EMPTY), Region::EMPTY);
        assert!((difference(&frame(10.0, 6.0), &Region::EMPTY).area() - 64.0).abs() < 1e-9);
    }

    #[test]
    fn cut_down_to_a_box_that_holds_holes_and_one_that_lies_in_a_hole() {
        // The common box is the small square: inside the frame's hole, and across its rim.
        assert_eq!(intersection(&frame(20.0, 10.0), &square(-2.0, -2.0, 4.0)), Region::EMPTY);
        assert!((intersection(&frame(20.0, 10.0), &square(-7.0, -2.0, 4.0)).area() - 8.0).abs() < 1e-9);
        assert!(
            (intersection(&square(-30.0, -1.0, 60.0), &frame(20.0, 10.0)).area() - (20.0 * 11.0 - 60.0)).abs() < 1e-9
        );
        // A comb that leaves and enters the box many times.
        let teeth = (0..10).flat_map(|i| {
            let x = 2.0 * f64::from(i);
            [Point::new(x + 2.0, 0.0), Point::new(x + 1.0, 50.0)].into_iter()
        });
        let comb: Region = Polygon::simple(
            [Point::new(0.0, -5.0), Point::new(20.0, -5.0)]
                .into_iter()
                .chain(teeth.collect::<Vec<_>>().into_iter().rev())
                .collect(),
        )
        .into();
        let band = Region::rectangle(Bounds::new(Point::new(-1.0, 10.0), Point::new(21.0, 20.0)));
        let slow = overlay(&comb, &band, OverlayRule::Intersect);
        assert!((intersection(&comb, &band).area() - slow.area()).abs() < 1e-9 && slow.area() > 50.0);
    }

    proptest! {
        /// |A| + |B| = |A ∪ B| + |A ∩ B|, and the difference is what the intersection leaves.
        #[test]
        fn areas_add_up(a in star(), b in star(), x in -20.0..20.0_f64, y in -20.0..20.0_f64) {
            let b = b.map(|p| p + Point::new(x, y));
            let (all, both) = (union([&a, &b]).area(), intersection(&a, &b).area());
            prop_assert!((a.area() + b.area() - all - both).abs() < 1e-6);
            prop_assert!((difference(&a, &b).area() - (a.area() - both)).abs() < 1e-6);
            let uncut = overlay(&a, &b, OverlayRule::Intersect);
            prop_assert!((uncut.area() - both).abs() < 1e-9);
            prop_assert!(symmetric_difference(&uncut, &intersection(&a, &b)).area() < 1e-8);
        }
    }
}
