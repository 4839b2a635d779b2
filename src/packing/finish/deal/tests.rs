//! Wishes that cost nothing.

use super::*;
use crate::{
    geom::{Bounds, Outline, Placement, Point, Region},
    packing::{Bed, Item, Shape, solve, verify},
    rng::Rng,
    watch::Quiet,
};

fn block(width: f64, depth: f64) -> Shape {
    let o = Outline::new(Region::rectangle(Bounds::new(Point::default(), Point::new(width, depth))));
    Shape {
        shadow: o.clone(),
        contact: o.clone(),
        footing: o,
        turn_step_rad: Some(std::f64::consts::FRAC_PI_2),
        class: 0,
        height_mm: 5.0,
    }
}

fn problem(shapes: Vec<Shape>, beds: usize, counts: &[usize]) -> Problem {
    let room = Region::rectangle(Bounds::new(Point::default(), Point::new(100.0, 100.0)));
    let bed = Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 50.0, twin: None };
    Problem {
        shapes,
        beds: vec![bed; beds],
        gap_mm: 2.0,
        footing_gap_mm: 0.0,
        footings_may_merge: false,
        aim: Aim::Pack { counts: counts.to_vec() },
    }
}

fn used(layout: &Layout) -> usize {
    layout.beds.iter().filter(|b| !b.is_empty()).count()
}

fn dealt(p: &Problem, dealing: &Dealing) -> (Layout, Layout) {
    let before = solve(p, 1, Some(2), &Quiet);
    let after = deal(p, &before, dealing, 1, Some(2), &Quiet);
    assert_eq!(verify(p, &after), Ok(()));
    assert_eq!(after, deal(p, &before, dealing, 1, Some(2), &Quiet), "the same again");
    (before, after)
}

const EVEN: Dealing = Dealing { spread: Spread::Even, together: Vec::new() };

#[test]
fn copies_of_one_part_are_dealt_by_their_number() {
    // Blocks of 30 with gaps of 2: nine on a bed of 100, so eleven need two beds.
    let p = problem(vec![block(30.0, 30.0)], 3, &[11]);
    let (before, after) = dealt(&p, &EVEN);
    let numbers = |l: &Layout| l.beds.iter().map(Vec::len).collect::<Vec<_>>();
    assert_eq!((numbers(&before), numbers(&after)), (vec![9, 2, 0], vec![6, 5, 0]));
    let as_it_was = deal(&p, &before, &Dealing::default(), 1, Some(2), &Quiet);
    assert_eq!(as_it_was, before);
}

#[test]
fn a_kind_lies_on_one_bed_where_it_fits_on_one() {
    // Large ones first fill the first bed, and the six small ones lie where room is left, on both.
    let p = problem(vec![block(45.0, 45.0), block(22.0, 22.0)], 3, &[5, 12]);
    let mut before = solve(&p, 1, Some(0), &Quiet);
    if before.beds.iter().filter(|b| b.iter().any(|i| i.shape == 0)).count() < 2 {
        before = Layout::default();
    }
    let wish = Dealing { spread: Spread::FullThenRest, together: vec![vec![1]] };
    let after = deal(&p, &before, &wish, 1, Some(2), &Quiet);
    assert_eq!(verify(&p, &after), Ok(()));
    let beds_of = |l: &Layout, s: usize| l.beds.iter().filter(|b| b.iter().any(|i| i.shape == s)).count();
    assert_eq!((used(&before), used(&after), beds_of(&after, 1)), (2, 2, 1));
    assert_eq!(after.unplaced, [0, 0]);
    // The five large ones fit on no bed together: they stay parted, and nothing is lost.
    let too_many = Dealing { together: vec![vec![0]], ..wish };
    let parted = deal(&p, &before, &too_many, 1, Some(2), &Quiet);
    assert_eq!((used(&parted), beds_of(&parted, 0), parted.count()), (2, 2, 17));
}

#[test]
fn what_is_fixed_is_counted_and_draws_its_kind() {
    let mut p = problem(vec![block(30.0, 30.0), block(20.0, 20.0)], 2, &[10, 3]);
    p.beds[1].fixed = vec![Item { shape: 1, at: Placement::at(0.0, 0.0) }];
    let wish = Dealing { spread: Spread::Even, together: vec![vec![1]] };
    let (_, after) = dealt(&p, &wish);
    assert!(after.beds[0].iter().all(|i| i.shape == 0), "the small ones lie with the one that stays");
    assert_eq!(after.beds[1].iter().filter(|i| i.shape == 1).count(), 3);
    // 10 · 900 and 4 · 400 mm²: 5300 each is best; 5 400 and 5 200 lie as near as it goes.
    let loads = |bed: usize| -> f64 {
        let items = after.beds[bed].iter().chain(&p.beds[bed].fixed);
        items.map(|i| if i.shape == 0 { 900.0 } else { 400.0 }).sum()
    };
    assert!((loads(0) - loads(1)).abs() <= 900.0, "{} {}", loads(0), loads(1));
}

/// Whatever the order: as many beds and copies as without the wish, valid, and evened out until no copy between the fullest
/// and the emptiest bed would make them more alike (boxes with room to spare always find it).
#[test]
fn wishes_cost_no_bed_and_no_copy() {
    let mut rng = Rng::new(5);
    let mut several = 0;
    for _ in 0..24 {
        let shapes: Vec<Shape> =
            (0..=rng.below(3)).map(|_| block(rng.between(12.0, 40.0), rng.between(12.0, 40.0))).collect();
        let counts: Vec<usize> = shapes.iter().map(|_| 1 + rng.below(12)).collect();
        let p = problem(shapes, 8, &counts);
        let wish = Dealing { spread: Spread::Even, together: vec![vec![rng.below(counts.len())]] };
        let (before, after) = dealt(&p, &wish);
        assert_eq!((used(&after), after.count(), &after.unplaced), (used(&before), before.count(), &before.unplaced));
        let (_, after) = dealt(&p, &EVEN);
        assert_eq!((used(&after), after.count()), (used(&before), before.count()));
        if used(&after) > 1 {
            several += 1;
            let area = |b: &Vec<Item>| b.iter().map(|i| p.shapes[i.shape].shadow.region().area()).sum::<f64>();
            let spread = |l: &Layout| {
                let loads = || l.beds.iter().filter(|b| !b.is_empty()).map(area);
                loads().fold(0.0, f64::max) - loads().fold(f64::INFINITY, f64::min)
            };
            assert!(spread(&after) <= spread(&before) + 1e-6);
            let heaviest = p.shapes.iter().map(|s| s.shadow.region().area()).fold(0.0, f64::max);
            assert!(spread(&after) <= heaviest + 1e-6, "{} of {heaviest}", spread(&after));
        }
    }
    assert!(several >= 6, "{several}");
}
