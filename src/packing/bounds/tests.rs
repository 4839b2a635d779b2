//! Published and computed values.

use super::*;
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, disc},
    packing::{Aim, Bed, Shape, beds_bound},
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
        let area = area::copies(&pr, &pr.shapes[0], &pr.beds[0]).expect("area");
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

/// The least hexagon round the regular heptagon and octagon: areas over the densities of the densest lattices
/// (heptagon .8926907 is not above A/h; octagon .9061637 = A/h exactly, since it has a centre of symmetry).
#[test]
fn least_hexagons() {
    let octagon = disc::regular(Point::default(), 1.0, 8).outer;
    assert!((region_area_of(&octagon) / hexagon::least_hexagon(&octagon) - 0.906_163_7).abs() < 1e-6);
    let heptagon = disc::regular(Point::default(), 1.0, 7).outer;
    assert!(region_area_of(&heptagon) / hexagon::least_hexagon(&heptagon) >= 0.892_690_7);
    // A 12-gon and a 36-gon approach the circle: 0.9282032 for 12 (twelve-gon in its own hexagon), π/√12.
    let twelve = disc::regular(Point::default(), 1.0, 12).outer;
    assert!((region_area_of(&twelve) / hexagon::least_hexagon(&twelve) - 0.928_203_2).abs() < 1e-6);
}
fn region_area_of(p: &[Point]) -> f64 {
    Polygon { outer: p.to_vec(), holes: vec![] }.area()
}

/// Oler's bound holds for the published numbers of unit circles in squares of side 10, 11, 12: 25, 30, 36 (OEIS A308578).
#[test]
fn circles_are_never_ruled_out() {
    for (side, fit) in [(10.0, 25), (11.0, 30), (12.0, 36)] {
        let p = disc::regular(Point::default(), 1.0 / (std::f64::consts::PI / 128.0).cos(), 128);
        let b = bound_of(p, side, 0.0);
        assert!(b.value >= fit && b.value <= fit + 5, "{side}: {b:?}");
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
        pr.aim = Aim::TopUp { shares: vec![1.0, 1.0], at_most: vec![large, small] };
        assert_eq!(top_up_bound(&pr), Some(Bound { kind, value: most }));
        pr.aim = Aim::TopUp { shares: vec![0.0, 1.0], at_most: vec![large, small] };
        assert_eq!(top_up_bound(&pr), copies_bound(&pr, 1));
    }
}

#[test]
fn beds_for_counts() {
    // Eleven squares of 60 on beds of 100: no two share a bed by area alone? 60² · 2 < 100²; by area 4 beds.
    let pr = problem(vec![shape(square(60.0))], vec![bed(100.0, 100.0)], 0.0, vec![11]);
    assert!(beds_bound(&pr).expect("bound").value >= 5);
    // Squares of 75 take more than half a bed each.
    let pr = problem(vec![shape(square(75.0)), shape(square(20.0))], vec![bed(100.0, 100.0); 3], 0.0, vec![5, 1]);
    assert_eq!(beds_bound(&pr).expect("bound").value, 5);
    // Classes add up; what fits nowhere is left out.
    let mut other = shape(square(10.0));
    other.class = 1;
    let pr =
        problem(vec![shape(square(10.0)), other, shape(square(300.0))], vec![bed(100.0, 100.0)], 0.0, vec![1, 1, 3]);
    assert_eq!(beds_bound(&pr).expect("bound").value, 2);
}

#[test]
fn too_large_or_empty() {
    assert_eq!(bound_of(square(101.0), 100.0, 0.0), Bound { kind: BoundKind::BySize, value: 0 });
    let pr = problem(vec![shape(Polygon::default())], vec![bed(10.0, 10.0)], 0.0, vec![1]);
    assert_eq!(copies_bound(&pr, 0), None);
    assert_eq!(copies_bound(&pr, 3), None);
    assert_eq!(beds_bound(&pr), None);
}
