//! Published and computed values.

use super::*;
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, disc},
    packing::{Aim, Bed, Shape, beds_bound, tests::rectangles::RECTANGLES},
    watch::Quiet,
};

fn shape(p: Polygon) -> Shape {
    let o = Outline::new(Region::from(p));
    Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad: None, class: 0, height_mm: 10.0 }
}
fn square(side: f64) -> Polygon {
    Polygon::rectangle(Bounds::new(Point::default(), Point::new(side, side)))
}
fn bed(w: f64, h: f64) -> Bed {
    let room = Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)));
    Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 200.0, twin: None }
}
fn problem(shapes: Vec<Shape>, beds: Vec<Bed>, gap_mm: f64, counts: Vec<usize>) -> Problem {
    Problem { shapes, beds, gap_mm, footing_gap_mm: 0.0, footings_may_merge: false, aim: Aim::Pack { counts } }
}
fn bound_of(p: Polygon, side: f64, gap: f64) -> Bound {
    copies_bound(&problem(vec![shape(p)], vec![bed(side, side)], gap, vec![1]), 0).expect("a bound")
}

/// Source: the worked values 141/130, 122/113, 118/107 for regular n-gons of circumradius 12 on 220 × 220; the first
/// of each pair is plain area.
#[test]
fn regular_polygons_on_a_square_bed() {
    for (n, by_area, best, kind) in
        [(5, 141, 130, BoundKind::ByPentagon), (7, 122, 113, BoundKind::ByHexagon), (8, 118, 107, BoundKind::ByHexagon)]
    {
        let p = disc::regular(Point::default(), 12.0, n);
        let pr = problem(vec![shape(p.clone())], vec![bed(220.0, 220.0)], 0.0, vec![1]);
        let area = area::copies(&pr, &pr.shapes[0], Offer::of(&pr, &pr.beds[0])).expect("area");
        assert_eq!(area.floor() as u64, by_area);
        assert_eq!(bound_of(p, 220.0, 0.0), Bound { kind, value: best });
    }
}

/// Four squares of 45 with gap 10 fill a bed of 100 exactly; the bound before rounding is 4.03.
#[test]
fn exact_squares_are_not_ruled_out() {
    let b = bound_of(square(45.0), 100.0, 10.0);
    assert_eq!(b.value, 4);
}

/// The least hexagon round regular polygons. No double lattice is denser than what it leaves (densities published for 5
/// and 7 corners, computed by chords for the others); with a centre of symmetry it is as dense. For 7 and 9 corners:
/// computed by minimising over six free sides.
#[test]
fn least_hexagons() {
    let share = |corners: usize| {
        let p = disc::regular(Point::default(), 1.0, corners).outer;
        region_area_of(&p) / hexagon::least_hexagon(&p)
    };
    for (corners, double_lattice, least) in [
        (5, 0.921_310_7, 1.0),
        (7, 0.892_690_7, 0.920_58),
        (8, 0.906_163_7, 0.906_163_7),
        (9, 0.901_030_1, 0.907_60),
        (10, 0.913_72, 0.913_72),
        (12, 0.928_203_2, 0.928_203_2),
    ] {
        let share = share(corners);
        let tolerance = if corners.is_multiple_of(2) { 1e-6 } else { 1e-5 };
        assert!((share - least).abs() < tolerance, "{corners} corners: {share}");
        assert!(share >= double_lattice - 1e-6, "{corners} corners: {share}");
    }
}
fn region_area_of(p: &[Point]) -> f64 {
    Polygon { outer: p.to_vec(), holes: vec![] }.area()
}

/// Numbers of unit circles that are known to fit are not ruled out, and the bounds are not far above: in squares (OEIS
/// A308578; 30 and 39 by their greatest radii in the unit square, OEIS A084616), and in circles of radius 3 to 12 (OEIS
/// A023393).
#[test]
fn circles_are_never_ruled_out() {
    let p = disc::regular(Point::default(), 1.0 / (std::f64::consts::PI / 128.0).cos(), 128);
    let holds = |room: Bed, fit: u64| {
        let b = copies_bound(&problem(vec![shape(p.clone())], vec![room], 0.0, vec![1]), 0).expect("a bound");
        assert!(b.value >= fit && b.value <= fit + fit / 10 + 2, "{fit}: {b:?}");
    };
    for (side, fit) in [(10.0, 25), (11.0, 30), (12.0, 36), (1.0 / 0.091_671_1, 30), (1.0 / 0.081_367_5, 39)] {
        holds(bed(side, side), fit);
    }
    for (radius, fit) in (3_u32..).zip([7, 11, 19, 27, 38, 50, 64, 80, 98, 118]) {
        let room = disc::around(Point::default(), f64::from(radius), 0.001).into();
        holds(Bed { room, ..bed(1.0, 1.0) }, fit);
    }
}

/// Unit squares known to fit a square: 5 and 10 in the least sides there are, 11, 17 and 19 in the least known. Source: E.
/// Friedman, Packing unit squares in squares. By area no more than the side squared.
#[test]
fn squares_are_never_ruled_out() {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    for (side, fit) in [(2.0 + half, 5), (3.0 + half, 10), (3.877, 11), (4.675, 17), (4.886, 19)] {
        let b = bound_of(square(1.0), side, 0.0);
        assert!(b.value >= fit && b.value <= (side * side) as u64, "{side}: {b:?}");
    }
}

/// Equal rectangles in a rectangle. In the first ten as many as the area allows do fit (found by integer programming over
/// sums of sides); of 5 × 4 only 12 fit 19 × 15, and of 176 × 135 on 1200 × 800 the most found are 38.
#[test]
fn rectangles_by_area() {
    let as_many = RECTANGLES[..10].iter().copied();
    for ([w, h], [a, b], most) in as_many.chain([([19.0, 15.0], [5.0, 4.0], 14), ([1200.0, 800.0], [176.0, 135.0], 40)])
    {
        let part = Polygon::rectangle(Bounds::new(Point::default(), Point::new(a, b)));
        let bound = copies_bound(&problem(vec![shape(part)], vec![bed(w, h)], 0.0, vec![1]), 0).expect("a bound");
        assert_eq!(bound, Bound { kind: BoundKind::ByArea, value: most as u64 }, "{w} x {h} of {a} x {b}");
    }
}

#[test]
fn a_keep_out_never_raises_the_bound() {
    let p = disc::regular(Point::default(), 12.0, 7);
    let mut pr = problem(vec![shape(p)], vec![bed(220.0, 220.0)], 2.0, vec![1]);
    let mut last = u64::MAX;
    for i in 0..6 {
        let b = copies_bound(&pr, 0).expect("bound");
        assert!(b.value <= last);
        last = b.value;
        let at = f64::from(i) * 35.0;
        pr.beds[0].keep_outs.push(Region::rectangle(Bounds::new(Point::new(at, 10.0), Point::new(at + 30.0, 200.0))));
    }
    assert!(last < 60, "{last}");
}

#[test]
fn fixed_copies_count_out() {
    let mut pr = problem(vec![shape(square(10.0))], vec![bed(100.0, 100.0)], 0.0, vec![1]);
    assert_eq!(copies_bound(&pr, 0).expect("bound").value, 100);
    pr.beds[0].fixed = (0..7).map(|i| Item { shape: 0, at: Placement::at(f64::from(i) * 10.0, 0.0) }).collect();
    assert_eq!(copies_bound(&pr, 0).expect("bound").value, 93);
}

/// Squares of 10 and of 30 on a bed of 100 without gap, in equal numbers, worked by hand. As many as fit: a hundred small
/// ones. At most 20 small ones: 20 · 100 mm² leave 8000 mm², of which 900 mm² a piece makes 8.9, together 28. At most
/// four of each: all eight.
#[test]
fn top_up_of_several() {
    for (small, large, most, kind) in
        [(1000, 1000, 100, BoundKind::ByArea), (20, 1000, 28, BoundKind::ByArea), (4, 4, 8, BoundKind::ByPlate)]
    {
        let mut pr = problem(vec![shape(square(30.0)), shape(square(10.0))], vec![bed(100.0, 100.0)], 0.0, vec![]);
        pr.aim = Aim::TopUp { shares: vec![1.0, 1.0], at_most: vec![large, small], there: vec![] };
        assert_eq!(top_up_bound(&pr, &Quiet), Some(Bound { kind, value: most }));
        pr.aim = Aim::TopUp { shares: vec![0.0, 1.0], at_most: vec![large, small], there: vec![] };
        assert_eq!(top_up_bound(&pr, &Quiet), copies_bound(&pr, 1));
        // Three large ones that may be moved but not removed: 10 000 − 2 700 mm² are left for small ones.
        pr.aim = Aim::TopUp { shares: vec![0.0, 1.0], at_most: vec![3, 1000], there: vec![3, 2] };
        assert_eq!(top_up_bound(&pr, &Quiet), Some(Bound { kind: BoundKind::ByArea, value: 73 }));
    }
}

#[test]
fn beds_for_counts() {
    // Eleven squares of 60 on beds of 100: none lies beside another (2 · 60 > 100), so the truth is eleven beds. By area two have
    // room on each, 2.78 rounded down, and no bound here sees more: six.
    let pr = problem(vec![shape(square(60.0))], vec![bed(100.0, 100.0)], 0.0, vec![11]);
    assert_eq!(beds_bound(&pr, &Quiet).expect("bound").value, 6);
    // Squares of 75 take more than half a bed each.
    let pr = problem(vec![shape(square(75.0)), shape(square(20.0))], vec![bed(100.0, 100.0); 3], 0.0, vec![5, 1]);
    assert_eq!(beds_bound(&pr, &Quiet).expect("bound").value, 5);
    // Classes add up; what fits nowhere is left out.
    let mut other = shape(square(10.0));
    other.class = 1;
    let pr =
        problem(vec![shape(square(10.0)), other, shape(square(300.0))], vec![bed(100.0, 100.0)], 0.0, vec![1, 1, 3]);
    assert_eq!(beds_bound(&pr, &Quiet).expect("bound").value, 2);
}

#[test]
fn too_large_or_empty() {
    assert_eq!(bound_of(square(101.0), 100.0, 0.0), Bound { kind: BoundKind::BySize, value: 0 });
    let pr = problem(vec![shape(Polygon::default())], vec![bed(10.0, 10.0)], 0.0, vec![1]);
    assert_eq!(copies_bound(&pr, 0), None);
    assert_eq!(copies_bound(&pr, 3), None);
    assert_eq!(beds_bound(&pr, &Quiet), None);
}
