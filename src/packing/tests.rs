//! The engine as a whole.

use std::sync::{
    Mutex,
    atomic::{AtomicUsize, Ordering},
};

use super::{rng::Rng, *};
use crate::{
    geom::{Bounds, Outline, Placement, Point, Polygon, Region, boolean, disc, offset},
    watch::{Quiet, Watch},
};

fn shape(shadow: impl Into<Region>, step_deg: Option<f64>) -> Shape {
    let o = Outline::new(shadow.into());
    Shape {
        shadow: o.clone(),
        contact: o.clone(),
        footing: o,
        turn_step_rad: step_deg.map(f64::to_radians),
        class: 0,
        height_mm: 10.0,
    }
}
fn rectangle(w: f64, h: f64) -> Region {
    Region::rectangle(Bounds::new(Point::default(), Point::new(w, h)))
}
fn bed(room: Region) -> Bed {
    Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 200.0, twin: None }
}
fn pack(shapes: Vec<Shape>, beds: Vec<Bed>, gap_mm: f64, counts: Vec<usize>) -> Problem {
    Problem { shapes, beds, gap_mm, footing_gap_mm: 0.0, footings_may_merge: false, aim: Aim::Pack { counts } }
}
fn top_up(shape: Shape, bed: Bed, gap_mm: f64) -> Problem {
    let aim = Aim::TopUp { shares: vec![1.0], at_most: vec![100_000] };
    Problem { aim, ..pack(vec![shape], vec![bed], gap_mm, vec![0]) }
}
fn solved(p: &Problem, seed: u64, rounds: u64) -> Layout {
    let l = solve(p, seed, Some(rounds), &Quiet);
    assert_eq!(verify(p, &l), Ok(()));
    l
}

/// Counts its questions, and cancels after so many.
struct After {
    questions: AtomicUsize,
    limit: usize,
    last: Mutex<Option<Layout>>,
}
impl After {
    fn new(limit: usize) -> Self {
        Self { questions: AtomicUsize::new(0), limit, last: Mutex::new(None) }
    }
}
impl Watch<Layout> for After {
    fn cancelled(&self) -> bool {
        self.questions.fetch_add(1, Ordering::Relaxed) >= self.limit
    }
    fn improved(&self, best: &Layout) {
        *self.last.lock().expect("no panic before") = Some(best.clone());
    }
}

fn random_polygon(rng: &mut Rng, size: f64) -> Region {
    let n = 3 + rng.below(9);
    let mut angles: Vec<f64> = (0..n).map(|_| rng.between(0.0, std::f64::consts::TAU)).collect();
    angles.sort_by(f64::total_cmp);
    let outer: Vec<Point> = angles.iter().map(|&a| Point::new(size * rng.between(0.3, 1.0), 0.0).turned(a)).collect();
    let region = boolean::non_zero(&[Polygon::simple(outer).outer]);
    if rng.below(3) == 0 {
        boolean::difference(
            &region,
            &disc::regular(Point::new(size * 0.1, 0.0), size * rng.between(0.1, 0.5), 9).into(),
        )
    } else {
        region
    }
}

fn random_problem(rng: &mut Rng) -> Problem {
    let steps = [None, Some(45.0), Some(90.0), Some(180.0), Some(360.0), Some(1.0)];
    let shapes: Vec<Shape> = (0..=rng.below(4))
        .map(|_| {
            let size = rng.between(4.0, 28.0);
            let shadow = random_polygon(rng, size);
            let contact = if rng.below(2) == 0 { shadow.clone() } else { offset::shrink(&shadow, 1.0, 0.01) };
            let footing = offset::grow(&contact, [0.0, 3.0][rng.below(2)], 0.01);
            Shape {
                shadow: Outline::new(shadow),
                contact: Outline::new(contact),
                footing: Outline::new(footing),
                turn_step_rad: steps[rng.below(6)].map(f64::to_radians),
                class: rng.below(8) as u32 / 7,
                height_mm: rng.between(1.0, 60.0),
            }
        })
        .collect();
    let beds = (0..=rng.below(3))
        .map(|_| {
            let room: Region = match rng.below(4) {
                0 => disc::inside(Point::new(60.0, 60.0), 60.0, 0.02).into(),
                1 => Polygon::simple(
                    [[0., 0.], [120., 0.], [120., 60.], [70., 60.], [70., 110.], [0., 110.]].map(Point::from).to_vec(),
                )
                .into(),
                _ => rectangle(rng.between(60.0, 140.0), rng.between(60.0, 140.0)),
            };
            let keep_outs = (0..rng.below(3))
                .map(|_| {
                    random_polygon(rng, 15.0).placed(Placement::at(rng.between(0.0, 120.0), rng.between(0.0, 120.0)))
                })
                .collect();
            let fixed = (0..rng.below(4))
                .map(|_| Item {
                    shape: rng.below(shapes.len()),
                    at: Placement::new(rng.between(0.0, 100.0), rng.between(0.0, 100.0), rng.between(0.0, 6.0)),
                })
                .collect();
            let class = [None, None, Some(0), Some(1)][rng.below(4)];
            let twin = match rng.below(8) {
                0 => Some(Twin::Shifted { by_mm: 60.0, strip_mm: 4.0 }),
                1 => Some(Twin::Handed { axis_mm: 60.0, strip_mm: 4.0 }),
                _ => None,
            };
            Bed { room, keep_outs, fixed, class, height_mm: 50.0, twin }
        })
        .collect();
    let aim = if rng.below(2) == 0 {
        Aim::Pack { counts: shapes.iter().map(|_| rng.below(12)).collect() }
    } else {
        Aim::TopUp {
            shares: shapes.iter().map(|_| rng.below(3) as f64).collect(),
            at_most: shapes.iter().map(|_| rng.below(30)).collect(),
        }
    };
    Problem {
        shapes,
        beds,
        gap_mm: [0.0, 1.0, 2.5][rng.below(3)],
        footing_gap_mm: [0.0, 0.0, 4.0][rng.below(3)],
        footings_may_merge: rng.below(2) == 0,
        aim,
    }
}

#[test]
fn random_problems_are_valid_bounded_and_repeatable() {
    let mut rng = Rng::new(7);
    let mut placed = 0;
    for case in 0..20 {
        let p = random_problem(&mut rng);
        // From the sixth round on copies are parted as well: slow, and the same code whatever the problem.
        let rounds = Some(if case % 5 == 0 { 6 } else { 2 });
        let layout = solve(&p, case, rounds, &Quiet);
        assert_eq!(verify(&p, &layout), Ok(()), "case {case}");
        assert_eq!(layout, solve(&p, case, rounds, &Quiet), "case {case}");
        placed += layout.count();
        if let Some(first) = layout.beds.first() {
            for s in 0..p.shapes.len() {
                let n = first.iter().filter(|i| i.shape == s).count() as u64;
                if let Some(bound) = copies_bound(&p, s) {
                    assert!(n <= bound.value, "case {case}: {n} copies, {bound:?}");
                }
            }
        }
        if matches!(p.aim, Aim::Pack { .. })
            && layout.unplaced.iter().all(|&n| n == 0)
            && let Some(bound) = beds_bound(&p)
        {
            let used = layout.beds.iter().filter(|b| !b.is_empty()).count() as u64;
            assert!(used >= bound.value, "case {case}: {used} beds, {bound:?}");
        }
    }
    assert!(placed > 100, "{placed}");
}

/// Whatever the parts, beds and copies that stay: what is kept free in addition lets no more copies on a bed, and needs no
/// fewer beds.
#[test]
fn a_keep_out_never_raises_a_bound() {
    let mut rng = Rng::new(11);
    let mut lower = 0;
    for case in 0..60 {
        let mut p = random_problem(&mut rng);
        let asked = |p: &Problem| (0..p.shapes.len()).map(|s| copies_bound(p, s).map(|b| b.value)).collect::<Vec<_>>();
        let (before, beds_before) = (asked(&p), beds_bound(&p).map(|b| b.value));
        let at = Placement::at(rng.between(0.0, 100.0), rng.between(0.0, 100.0));
        let size = rng.between(5.0, 60.0);
        for bed in &mut p.beds {
            bed.keep_outs.push(random_polygon(&mut rng, size).placed(at));
        }
        let after = asked(&p);
        assert!(after.iter().zip(&before).all(|(a, b)| a <= b), "case {case}: {before:?}, then {after:?}");
        lower += after.iter().zip(&before).filter(|(a, b)| a < b).count();
        assert!(beds_bound(&p).map(|b| b.value) >= beds_before, "case {case}");
    }
    assert!(lower > 10, "{lower}");
}

#[test]
fn cancelling_leaves_the_last_valid_layout() {
    let mut rng = Rng::new(11);
    for case in 0..12 {
        let p = random_problem(&mut rng);
        for limit in [0, 1, 3, 10, 60] {
            let watch = After::new(limit);
            let layout = solve(&p, case, None, &watch);
            assert_eq!(verify(&p, &layout), Ok(()), "case {case}, {limit}");
            let last = watch.last.lock().expect("no panic before").clone();
            assert_eq!(last, Some(layout), "case {case}, {limit}");
        }
    }
}

/// Exact fits, worked by hand.
#[test]
fn exact_fits() {
    // Four 45s with gap 10 in 100.
    let p = pack(vec![shape(rectangle(45.0, 45.0), Some(90.0))], vec![bed(rectangle(100.0, 100.0))], 10.0, vec![4]);
    assert_eq!(solved(&p, 1, 10).count(), 4);
    // A part as large as its room; a peg as wide as its hole; a hundred squares in a square.
    let p = pack(vec![shape(rectangle(100.0, 50.0), Some(90.0))], vec![bed(rectangle(50.0, 100.0))], 0.0, vec![1]);
    assert_eq!(solved(&p, 1, 10).count(), 1);
    let frame = boolean::difference(&rectangle(40.0, 40.0), &rectangle(20.0, 20.0).placed(Placement::at(10.0, 10.0)));
    let p = pack(
        vec![shape(frame, Some(90.0)), shape(rectangle(20.0, 20.0), Some(90.0))],
        vec![bed(rectangle(40.0, 40.0))],
        0.0,
        vec![1, 1],
    );
    assert_eq!(solved(&p, 1, 10).count(), 2);
    let p = top_up(shape(rectangle(10.0, 10.0), None), bed(rectangle(100.0, 100.0)), 0.0);
    assert_eq!(solved(&p, 1, 10).count(), 100);
}

#[test]
fn fewest_beds_then_the_emptiest_last_one() {
    let p = pack(vec![shape(rectangle(30.0, 30.0), Some(90.0))], vec![bed(rectangle(62.0, 62.0)); 5], 2.0, vec![9]);
    let l = solved(&p, 1, 10);
    let used: Vec<usize> = l.beds.iter().map(Vec::len).collect();
    assert_eq!(used, [4, 4, 1, 0, 0]);
}

#[test]
fn footings_pass_under_overhangs_and_merge_only_where_allowed() {
    // A funnel: wide above, small contact; pegs with wide brims.
    let funnel = Shape {
        shadow: Outline::new(Region::from(disc::around(Point::default(), 20.0, 0.01))),
        ..shape(disc::around(Point::default(), 5.0, 0.01), None)
    };
    let contact: Region = disc::around(Point::default(), 4.0, 0.01).into();
    let peg = Shape { footing: Outline::new(offset::grow(&contact, 8.0, 0.01)), ..shape(contact, None) };
    // Side by side: 40 + 1 + 8 = 49 wide where the brim (8) passes under the funnel, 53 and more where it may not,
    // and the brim reaches 8 over the far side.
    let mut p = pack(vec![funnel, peg], vec![bed(rectangle(57.3, 40.2))], 1.0, vec![1, 1]);
    assert_eq!(solved(&p, 1, 20).count(), 2);
    p.beds[0].room = rectangle(55.4, 40.2);
    assert_eq!(solved(&p, 1, 20).count(), 1);
    // Two pegs: 24 + 24 wide with brims apart, 4 + 12 + 8 + 12 with brims merged.
    p.beds[0].room = rectangle(40.3, 24.2);
    p.aim = Aim::Pack { counts: vec![0, 2] };
    assert_eq!(solved(&p, 1, 20).count(), 1);
    p.footings_may_merge = true;
    assert_eq!(solved(&p, 1, 20).count(), 2);
}

#[test]
fn proportions_are_kept() {
    let shapes = vec![shape(rectangle(10.0, 10.0), Some(90.0)), shape(rectangle(20.0, 10.0), Some(90.0))];
    let mut p = pack(shapes, vec![bed(rectangle(100.0, 100.0))], 0.0, vec![]);
    p.aim = Aim::TopUp { shares: vec![2.0, 1.0], at_most: vec![1000, 1000] };
    let l = solved(&p, 1, 20);
    let n = |s| l.beds[0].iter().filter(|i| i.shape == s).count();
    assert!(n(1) >= 24 && n(0) >= 48, "{} {}", n(0), n(1));
    p.aim = Aim::TopUp { shares: vec![1.0, 0.0], at_most: vec![7, 1000] };
    assert_eq!(solved(&p, 1, 20).count(), 7);
}

#[test]
fn bad_input_is_left_unplaced() {
    let good = || shape(rectangle(10.0, 10.0), Some(90.0));
    let crossing =
        Polygon { outer: [[0., 0.], [10., 10.], [10., 0.], [0., 10.]].map(Point::from).to_vec(), holes: vec![] };
    let flat = Polygon { outer: [[0., 0.], [10., 0.], [5., 0.]].map(Point::from).to_vec(), holes: vec![] };
    let wild =
        Polygon { outer: [[0., 0.], [f64::NAN, 0.], [5., f64::INFINITY]].map(Point::from).to_vec(), holes: vec![] };
    let one = |s: Shape, b: Bed, gap: f64| solve(&pack(vec![s], vec![b], gap, vec![1]), 1, Some(5), &Quiet);
    let room = || bed(rectangle(50.0, 50.0));
    for bad in [Region::EMPTY, flat.into(), wild.into()] {
        let p = pack(vec![good(), shape(bad, None)], vec![room()], 1.0, vec![2, 1]);
        let l = solve(&p, 1, Some(5), &Quiet);
        assert_eq!((l.count(), l.unplaced.as_slice()), (2, [0, 1].as_slice()));
    }
    assert_eq!(one(shape(crossing, None), room(), 1.0).count(), 1);
    assert_eq!(one(shape(rectangle(51.0, 10.0), Some(90.0)), room(), 0.0).count(), 0);
    assert_eq!(one(good(), room(), 500.0).count(), 1);
    assert_eq!(solve(&pack(vec![good()], vec![room()], 500.0, vec![3]), 1, Some(5), &Quiet).unplaced, [2]);
    assert_eq!(one(good(), bed(Region::EMPTY), 0.0).count(), 0);
    let covered = Bed { keep_outs: vec![rectangle(60.0, 60.0).placed(Placement::at(-5.0, -5.0))], ..room() };
    assert_eq!(one(good(), covered, 0.0).count(), 0);
    assert_eq!(one(Shape { height_mm: 300.0, ..good() }, room(), 0.0).count(), 0);
    assert_eq!(solve(&pack(vec![], vec![], 0.0, vec![]), 1, None, &Quiet).count(), 0);
    assert_eq!(solve(&pack(vec![good()], vec![room()], 0.0, vec![0]), 1, None, &Quiet).count(), 0);
}

#[test]
fn ten_thousand_copies_do_not_hang() {
    let p = pack(vec![shape(rectangle(10.0, 10.0), Some(90.0))], vec![bed(rectangle(200.0, 200.0))], 1.0, vec![10_000]);
    let l = solved(&p, 1, 2);
    assert!(l.count() >= 324, "{}", l.count());
    assert_eq!(l.count() + l.unplaced[0], 10_000);
}

#[test]
fn outlines_of_three_thousand_corners() {
    let gear = Polygon::simple(
        (0..3000)
            .map(|i| {
                let a = f64::from(i) * std::f64::consts::TAU / 3000.0;
                Point::new(20.0 + 2.0 * (17.0 * a).sin(), 0.0).turned(a)
            })
            .collect(),
    );
    let p = pack(vec![shape(gear, None)], vec![bed(rectangle(220.0, 220.0))], 2.0, vec![16]);
    let l = solved(&p, 1, 1);
    assert_eq!(l.count(), 16);
}

#[test]
fn verify_sees_every_kind_of_breach() {
    let at = |x: f64, y: f64, turn: f64| Item { shape: 0, at: Placement::new(x, y, turn) };
    let mut p = pack(vec![shape(rectangle(10.0, 10.0), Some(90.0))], vec![bed(rectangle(50.0, 50.0))], 1.0, vec![2]);
    let check = |p: &Problem, a: Item, b: Item| {
        verify(p, &Layout { beds: vec![vec![a, b]], unplaced: vec![0] }).err().and_then(|e| e.into_iter().next())
    };
    assert_eq!(check(&p, at(0., 0., 0.), at(11., 0., 0.)), None);
    assert!(
        matches!(check(&p, at(0., 0., 0.), at(10.5, 0., 0.)), Some(Breach::Gap { short_mm, .. }) if (short_mm - 0.5).abs() < 1e-9)
    );
    assert!(matches!(check(&p, at(0., 0., 0.), at(5., 5., 0.)), Some(Breach::Gap { .. })));
    assert!(
        matches!(check(&p, at(-0.1, 0., 0.), at(20., 0., 0.)), Some(Breach::Room { out_mm, .. }) if (out_mm - 0.1).abs() < 1e-9)
    );
    assert!(matches!(check(&p, at(10., 10., 0.1), at(30., 0., 0.)), Some(Breach::Turn { .. })));
    assert!(matches!(check(&p, at(0., 0., f64::NAN), at(30., 0., 0.)), Some(Breach::Unknown { .. })));
    let l = Layout { beds: vec![vec![at(0., 0., 0.)]], unplaced: vec![0] };
    assert!(matches!(verify(&p, &l).expect_err("one copy is missing")[0], Breach::Count { placed: 1, .. }));
    p.footing_gap_mm = 3.0;
    assert!(
        matches!(check(&p, at(0., 0., 0.), at(11., 0., 0.)), Some(Breach::Footing { short_mm, .. }) if (short_mm - 2.0).abs() < 1e-9)
    );
    p.beds[0].keep_outs.push(rectangle(5.0, 5.0));
    assert!(matches!(check(&p, at(4., 4., 0.), at(30., 0., 0.)), Some(Breach::KeepOut { .. })));
    p.beds[0].class = Some(9);
    assert!(matches!(check(&p, at(20., 4., 0.), at(35., 0., 0.)), Some(Breach::Class { .. })));
    p.beds[0].height_mm = 1.0;
    assert!(matches!(check(&p, at(20., 4., 0.), at(35., 0., 0.)), Some(Breach::Height { .. })));
}

/// The row-lattice family's counts: 220 × 220, no gap (computed for these shapes by a separate search of that family).
#[test]
fn lattices_of_regular_polygons() {
    for (corners, copies) in [(5, 114), (7, 99)] {
        let p = top_up(shape(disc::regular(Point::default(), 12.0, corners), None), bed(rectangle(220.0, 220.0)), 0.0);
        let l = solve(&p, 1, Some(1), &Quiet);
        assert_eq!(verify(&p, &l), Ok(()));
        assert!(l.count() >= copies, "{corners} corners: {}", l.count());
    }
}

/// Three squares of 10 in an L: two of them make 20 × 30, and five such make 60 × 50.
#[test]
fn parts_made_of_squares_tile() {
    let corner = |arm: f64, width: f64| {
        let l = [[0., 0.], [arm, 0.], [arm, width], [width, width], [width, arm], [0., arm]];
        shape(Polygon::simple(l.map(Point::from).to_vec()), Some(90.0))
    };
    let p = top_up(corner(20.0, 10.0), bed(rectangle(60.0, 50.0)), 0.0);
    assert_eq!(solved(&p, 1, 1).count(), 10);
    // With a gap of 2 between arms of 8, in a room less by the gap; and round a keep-out of two of the blocks.
    let mut p = top_up(corner(18.0, 8.0), bed(rectangle(58.0, 48.0)), 2.0);
    assert_eq!(solved(&p, 1, 1).count(), 10);
    p.beds[0].keep_outs.push(rectangle(38.0, 28.0));
    assert_eq!(solved(&p, 1, 1).count(), 6);
}

/// 57 × 34 of 7 × 4: 69, proved by area; here with a gap, beside a keep-out, and with a copy that stays.
#[test]
fn equal_rectangles_with_a_gap_and_a_keep_out() {
    let mut p = top_up(shape(rectangle(6.0, 3.0), Some(90.0)), bed(rectangle(76.0, 33.0)), 1.0);
    p.beds[0].keep_outs.push(rectangle(21.0, 40.0).placed(Placement::at(56.0, -1.0)));
    assert_eq!(solved(&p, 1, 1).count(), 69);
    p.beds[0].fixed.push(Item { shape: 0, at: Placement::at(50.0, 30.0) });
    assert!(solved(&p, 1, 1).count() >= 64);
}

/// Two squares of 100, each cut into four by slants: worked by hand.
#[test]
fn a_jigsaw_fills_its_beds() {
    let four = |left: f64, right: f64, low: f64, high: f64| {
        let at = |x: f64| left + (right - left) * x / 100.0;
        [
            vec![[0., 0.], [low, 0.], [low, at(low)], [0., left]],
            vec![[low, 0.], [100., 0.], [100., right], [low, at(low)]],
            vec![[0., left], [high, at(high)], [high, 100.], [0., 100.]],
            vec![[high, at(high)], [100., right], [100., 100.], [high, 100.]],
        ]
    };
    let pieces = four(30.0, 60.0, 40.0, 70.0).into_iter().chain(four(55.0, 35.0, 25.0, 60.0));
    let shapes: Vec<Shape> =
        pieces.map(|p| shape(Polygon::simple(p.into_iter().map(Point::from).collect()), Some(90.0))).collect();
    let p = pack(shapes, vec![bed(rectangle(100.001, 100.001)); 6], 0.0, vec![1; 8]);
    let l = solved(&p, 1, 40);
    assert_eq!(l.beds.iter().filter(|b| !b.is_empty()).count(), 2);
    assert_eq!(l.count(), 8);
}

#[test]
fn what_is_there_is_never_made_worse_and_is_searched_on_from() {
    let p = pack(
        vec![shape(rectangle(30.0, 20.0), Some(90.0)), shape(rectangle(17.0, 11.0), Some(90.0))],
        vec![bed(rectangle(100.0, 80.0)); 3],
        1.0,
        vec![12, 10],
    );
    let best = solved(&p, 1, 40);
    let first = solved(&p, 1, 0);
    assert_ne!(best, first, "the search got on");
    let kept = solve_from(&p, Some(&best), 2, Some(0), &Quiet);
    assert_eq!(kept, best);
    // With more turns than a search goes on from, too.
    let mut p = pack(vec![shape(rectangle(6.0, 6.0), None)], vec![bed(rectangle(200.0, 200.0))], 1.0, vec![100]);
    let turned = |k: usize| Item {
        shape: 0,
        at: Placement::new(10.0 + 18.0 * (k % 10) as f64, 10.0 + 18.0 * (k / 10) as f64, 0.01 * k as f64),
    };
    let now = Layout { beds: vec![(0..100).map(turned).collect()], unplaced: vec![0] };
    assert_eq!(verify(&p, &now), Ok(()));
    let out = solve_from(&p, Some(&now), 1, Some(0), &Quiet);
    assert_eq!((verify(&p, &out), out.count()), (Ok(()), 100));
    // Not where it is not valid: then it is what the search alone finds.
    p.gap_mm = 30.0;
    assert_eq!(solve_from(&p, Some(&now), 1, Some(0), &Quiet), solve(&p, 1, Some(0), &Quiet));
}
