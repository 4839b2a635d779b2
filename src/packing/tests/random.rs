//! Whatever the task: valid, bounded, the same again, and valid where it is cancelled.

use std::sync::{
    Mutex,
    atomic::{AtomicUsize, Ordering},
};

use super::*;

/// Keeps the layouts that it is shown, each with the rounds that were over by then; cancels after so many questions, or
/// so many layouts.
struct Witness {
    questions: AtomicUsize,
    most_questions: usize,
    rounds: AtomicUsize,
    count: AtomicUsize,
    most_layouts: usize,
    shown: Mutex<Vec<(usize, Layout)>>,
}
impl Witness {
    fn new(most_questions: usize, most_layouts: usize) -> Self {
        Self {
            questions: AtomicUsize::new(0),
            most_questions,
            rounds: AtomicUsize::new(0),
            count: AtomicUsize::new(0),
            most_layouts,
            shown: Mutex::new(Vec::new()),
        }
    }
    fn shown(self) -> Vec<(usize, Layout)> {
        self.shown.into_inner().expect("no panic before")
    }
}
impl Watch<Layout> for Witness {
    fn cancelled(&self) -> bool {
        self.questions.fetch_add(1, Ordering::Relaxed) >= self.most_questions
            || self.count.load(Ordering::Relaxed) >= self.most_layouts
    }
    fn progress(&self, _done: f64, _what: &str) {
        self.rounds.fetch_add(1, Ordering::Relaxed);
    }
    fn improved(&self, best: &Layout) {
        let shown = (self.rounds.load(Ordering::Relaxed), best.clone());
        self.shown.lock().expect("no panic before").push(shown);
        self.count.fetch_add(1, Ordering::Relaxed);
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

fn random_shape(rng: &mut Rng, size: f64, steps: &[Option<f64>]) -> Shape {
    let shadow = random_polygon(rng, size);
    let contact = if rng.below(2) == 0 { shadow.clone() } else { offset::shrink(&shadow, 1.0, 0.01) };
    let footing = offset::grow(&contact, [0.0, 3.0][rng.below(2)], 0.01);
    Shape {
        shadow: Outline::new(shadow),
        contact: Outline::new(contact),
        footing: Outline::new(footing),
        turn_step_rad: steps[rng.below(steps.len())].map(f64::to_radians),
        class: rng.below(8) as u32 / 7,
        height_mm: rng.between(1.0, 60.0),
    }
}

fn random_problem(rng: &mut Rng) -> Problem {
    let steps = [None, Some(45.0), Some(90.0), Some(180.0), Some(360.0), Some(1.0)];
    let shapes: Vec<Shape> = (0..=rng.below(4))
        .map(|_| {
            let size = rng.between(4.0, 28.0);
            random_shape(rng, size, &steps)
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
            there: vec![],
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

/// A small bed with a keep-out and a copy that stays, and as a rule more copies than lie on it.
fn crowded_problem(rng: &mut Rng) -> Problem {
    let steps = [Some(90.0), Some(180.0), Some(360.0)];
    let shapes: Vec<Shape> = (0..2 + rng.below(2))
        .map(|_| {
            let size = rng.between(6.0, 12.0);
            Shape { class: 0, height_mm: 10.0, ..random_shape(rng, size, &steps) }
        })
        .collect();
    let (w, h) = (rng.between(45.0, 60.0), rng.between(45.0, 60.0));
    let edge = Placement::at(rng.between(0.0, w), if rng.below(2) == 0 { 0.0 } else { h });
    let stays = Placement::new(rng.between(0.3 * w, 0.7 * w), rng.between(0.3 * h, 0.7 * h), rng.between(0.0, 6.0));
    let bed = Bed {
        keep_outs: vec![random_polygon(rng, 10.0).placed(edge)],
        fixed: vec![Item { shape: rng.below(shapes.len()), at: stays }],
        ..bed(rectangle(w, h))
    };
    let gap_mm = [0.0, 1.0, 2.0][rng.below(3)];
    let footing_gap_mm = [0.0, 1.0][rng.below(2)];
    let footings_may_merge = rng.below(2) == 0;
    // By area, two thirds of the bed.
    let taken = |s: &Shape| {
        let own = if footings_may_merge { s.shadow.region() } else { s.footing.region() };
        offset::grow(own, 0.5 * gap_mm, 0.05).area()
    };
    let mut counts = vec![0; shapes.len()];
    let mut left = 0.66 * w * h;
    for _ in 0..14 {
        let s = rng.below(shapes.len());
        counts[s] += usize::from(left > 0.0);
        left -= taken(&shapes[s]);
    }
    Problem { footing_gap_mm, footings_may_merge, ..pack(shapes, vec![bed], gap_mm, counts) }
}

#[test]
fn random_problems_are_valid_bounded_and_repeatable() {
    let mut rng = Rng::new(7);
    let mut placed = 0;
    for case in 0..60 {
        let p = random_problem(&mut rng);
        // From the sixth round on copies are parted as well: slow, and the same code whatever the problem. Half of the
        // cases see the first layouts alone.
        let rounds = Some(match case % 15 {
            0 => 6,
            n if n % 2 == 0 => 2,
            _ => 0,
        });
        let layout = solve(&p, case, rounds, &Quiet);
        assert_eq!(verify(&p, &layout), Ok(()), "case {case}");
        if case % 3 == 0 {
            assert_eq!(layout, solve(&p, case, rounds, &Quiet), "case {case}");
        }
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
            && let Some(bound) = beds_bound(&p, &Quiet)
        {
            let used = layout.beds.iter().filter(|b| !b.is_empty()).count() as u64;
            assert!(used >= bound.value, "case {case}: {used} beds, {bound:?}");
        }
    }
    assert!(placed > 300, "{placed}");
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
        let (before, beds_before) = (asked(&p), beds_bound(&p, &Quiet).map(|b| b.value));
        let at = Placement::at(rng.between(0.0, 100.0), rng.between(0.0, 100.0));
        let size = rng.between(5.0, 60.0);
        for bed in &mut p.beds {
            bed.keep_outs.push(random_polygon(&mut rng, size).placed(at));
        }
        let after = asked(&p);
        assert!(after.iter().zip(&before).all(|(a, b)| a <= b), "case {case}: {before:?}, then {after:?}");
        lower += after.iter().zip(&before).filter(|(a, b)| a < b).count();
        assert!(beds_bound(&p, &Quiet).map(|b| b.value) >= beds_before, "case {case}");
    }
    assert!(lower > 10, "{lower}");
}

#[test]
fn cancelling_leaves_the_last_valid_layout() {
    let mut rng = Rng::new(11);
    for case in 0..12 {
        let p = random_problem(&mut rng);
        for limit in [0, 1, 3, 10, 60] {
            let watch = Witness::new(limit, usize::MAX);
            let layout = solve(&p, case, None, &watch);
            assert_eq!(verify(&p, &layout), Ok(()), "case {case}, {limit}");
            assert_eq!(watch.shown().pop().map(|(_, last)| last), Some(layout), "case {case}, {limit}");
        }
    }
}

/// Where copies have to be parted, too: every layout shown is valid, the same seed and rounds show the same ones, and a
/// search that is cancelled at any of them answers with the last one it has shown.
#[test]
fn crowded_beds_are_valid_repeatable_and_cancelled_at_any_layout() {
    // Layouts are made one copy after another for five rounds; after these, copies are parted.
    const PLACED: usize = 5;
    let mut rng = Rng::new(23);
    let mut parted = 0;
    for case in 0..6 {
        let mut p = crowded_problem(&mut rng);
        if case % 3 == 2 {
            p.aim = Aim::TopUp { shares: vec![1.0; p.shapes.len()], at_most: vec![8; p.shapes.len()], there: vec![] };
        }
        let search = |layouts: usize| {
            let watch = Witness::new(usize::MAX, layouts);
            let layout = solve(&p, case, Some(8), &watch);
            (layout, watch.shown())
        };
        let (layout, shown) = search(usize::MAX);
        for (round, shown) in &shown {
            assert_eq!(verify(&p, shown), Ok(()), "case {case}, round {round}");
        }
        assert_eq!(shown.last().map(|(_, last)| last), Some(&layout), "case {case}");
        parted += shown.iter().filter(|(round, _)| *round >= PLACED).count();
        assert_eq!(search(usize::MAX), (layout, shown.clone()), "case {case}");
        for at in [1, shown.len().div_ceil(2)] {
            let (stopped, seen) = search(at);
            assert_eq!(seen[..at], shown[..at], "case {case}, cancelled at {at}");
            assert_eq!(seen.last().map(|(_, last)| last), Some(&stopped), "case {case}, cancelled at {at}");
            assert_eq!(verify(&p, &stopped), Ok(()), "case {case}, cancelled at {at}");
        }
    }
    assert!(parted > 0, "no copy was ever parted");
}
