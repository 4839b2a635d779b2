//! Pack and Top up: one search after another within the time allowed.

use std::{
    sync::{Mutex, PoisonError},
    time::{Duration, Instant},
};

use super::Deadline;
use crate::{
    packing::{self, Dealing, Layout, Problem, Wishes},
    watch::{Quiet, Watch},
};

/// Share of the time for the search where copies are dealt over plates after it.
const SEARCHING: f64 = 2.0 / 3.0;
/// What is left for wishes once a person takes the best layout so far.
const MOMENT: Duration = Duration::from_millis(150);
/// Of the time for Top up: for adding to the copies as they lie, then, of what is left, for moving them too.
const AS_IT_LIES: f64 = 0.3;
const ANEW: f64 = 0.75;

/// How long, and what is preferred.
#[derive(Debug, Clone)]
pub(super) struct Terms {
    pub(super) seed: u64,
    pub(super) rounds: Option<u64>,
    pub(super) limit: Option<Duration>,
    pub(super) wishes: Wishes,
    pub(super) dealing: Dealing,
}

/// The best layout found; never worse than `now`.
pub(super) fn arrange(problem: &Problem, now: Option<&Layout>, terms: &Terms, watch: &dyn Watch<Layout>) -> Layout {
    match now.filter(|now| now.count() > 0 && matches!(problem.aim, packing::Aim::TopUp { .. })) {
        Some(now) => topped_up(problem, now, terms, watch),
        None => searched(problem, now, terms, watch),
    }
}

fn searched(problem: &Problem, now: Option<&Layout>, terms: &Terms, watch: &dyn Watch<Layout>) -> Layout {
    // One time for all: what is dealt takes its share of it, and wishes what is left, or a moment.
    let begun = Instant::now();
    let share = if terms.dealing.is_none() { 1.0 } else { SEARCHING };
    let left = || terms.limit.map(|l| l.saturating_sub(begun.elapsed()));
    let deadline = Deadline::new(watch, terms.limit.map(|l| l.mul_f64(share))).within(0.0, share);
    let layout = packing::solve_from(problem, now, terms.seed, terms.rounds, &deadline);
    // Taking the best so far leaves a moment to apply the wishes.
    let taken = watch.cancelled();
    let watch: &dyn Watch<Layout> = if taken { &Quiet } else { watch };
    let rest = || if taken { Some(MOMENT) } else { left() };
    let deadline = Deadline::new(watch, rest()).within(share, 1.0);
    let layout = packing::deal(problem, &layout, &terms.dealing, terms.seed, terms.rounds, &deadline);
    let deadline = Deadline::new(watch, rest().map(|l| l.max(MOMENT))).within(1.0, 1.0);
    packing::prefer(problem, &layout, &terms.wishes, &deadline)
}

/// Top up where copies lie that may be moved. First they stay, and as many as possible are added; then all is arranged
/// anew as on an empty plate; where that holds no more, nothing is moved. Where more were added round the copies as
/// they lie, the search goes on from there.
fn topped_up(problem: &Problem, now: &Layout, terms: &Terms, watch: &dyn Watch<Layout>) -> Layout {
    let begun = Instant::now();
    let left = |share: f64| terms.limit.map(|l| l.saturating_sub(begun.elapsed()).mul_f64(share));
    let kept = packing::kept(problem, now);
    let added = {
        let adding = Shown { watch, problem, best: Mutex::new(None), lies: Some(now) };
        let deadline = Deadline::new(&adding, left(AS_IT_LIES)).within(0.0, AS_IT_LIES);
        packing::solve(&kept, terms.seed, terms.rounds, &deadline)
    };
    let as_it_lies = packing::laid_on(now, &added);
    let gain = |layout: &Layout| packing::gain(problem, layout);
    let bounding = Deadline::new(watch, left(1.0));
    let most = packing::top_up_bound(problem, &bounding).filter(|_| problem.beds.len() == 1);
    let done = most.is_some_and(|b| as_it_lies.count() as u64 >= b.value);
    let mut moved: Option<Layout> = None;
    if !done && !watch.cancelled() {
        let shown = Shown { watch, problem, best: Mutex::new(gain(&as_it_lies)), lies: None };
        let deadline = Deadline::new(&shown, left(ANEW)).within(AS_IT_LIES, 0.8);
        let anew = packing::solve(problem, terms.seed, terms.rounds, &deadline);
        if gain(&anew) > gain(&as_it_lies) {
            moved = Some(anew);
        } else if gain(&anew) < gain(&as_it_lies) && !watch.cancelled() {
            let deadline = Deadline::new(&shown, left(1.0)).within(0.8, 1.0);
            let on = packing::solve_from(problem, Some(&as_it_lies), terms.seed, terms.rounds, &deadline);
            moved = Some(on).filter(|on| gain(on) > gain(&as_it_lies));
        }
    }
    // Taking the best so far waits for a moment and no longer.
    let taken = watch.cancelled();
    let watch: &dyn Watch<Layout> = if taken { &Quiet } else { watch };
    let rest = if taken { MOMENT } else { MOMENT.max(left(1.0).unwrap_or(MOMENT)) };
    let deadline = Deadline::new(watch, Some(rest)).within(1.0, 1.0);
    match moved {
        Some(layout) => packing::prefer(problem, &layout, &terms.wishes, &deadline),
        None => packing::laid_on(now, &packing::prefer(&kept, &added, &terms.wishes, &deadline)),
    }
}

/// Passes on layouts that are better than any before, those that only add to what lies there together with it.
struct Shown<'a> {
    watch: &'a dyn Watch<Layout>,
    problem: &'a Problem,
    best: Mutex<Option<(f64, usize)>>,
    lies: Option<&'a Layout>,
}

impl Watch<Layout> for Shown<'_> {
    fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        self.watch.progress(done, what);
    }
    fn improved(&self, layout: &Layout) {
        let all = self.lies.map(|now| packing::laid_on(now, layout));
        let all = all.as_ref().unwrap_or(layout);
        let gain = packing::gain(self.problem, all);
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        if gain > *best {
            *best = gain;
            self.watch.improved(all);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::*;
    use crate::{
        geom::{Bounds, Outline, Placement, Point, Polygon, Region, disc},
        packing::{Aim, Bed, Item, Shape, solve, verify},
    };

    fn shape(outline: Polygon) -> Shape {
        let o = Outline::new(Region::from(outline));
        let turn_step_rad = Some(FRAC_PI_2);
        Shape { shadow: o.clone(), contact: o.clone(), footing: o, turn_step_rad, class: 0, height_mm: 1.0 }
    }

    fn rectangle(width: f64, depth: f64) -> Polygon {
        Polygon::rectangle(Bounds::new(Point::default(), Point::new(width, depth)))
    }

    fn task(shape: Shape, room: [f64; 2], gap_mm: f64) -> Problem {
        let room = rectangle(room[0], room[1]).into();
        let bed = Bed { room, keep_outs: vec![], fixed: vec![], class: None, height_mm: 9.0, twin: None };
        Problem {
            shapes: vec![shape],
            beds: vec![bed],
            gap_mm,
            footing_gap_mm: 0.0,
            footings_may_merge: false,
            aim: Aim::TopUp { shares: vec![1.0], at_most: vec![1000], there: vec![] },
        }
    }

    fn terms() -> Terms {
        Terms { seed: 1, rounds: Some(1), limit: None, wishes: Wishes::default(), dealing: Dealing::default() }
    }

    /// One copy in the middle of the room, where it is in everybody's way: copies on the empty bed, with it staying, and
    /// with it moved.
    fn counts(shape: Shape, room: [f64; 2], gap_mm: f64) -> [usize; 3] {
        let mut p = task(shape, room, gap_mm);
        let empty = arrange(&p, None, &terms(), &Quiet).count();
        let own = p.shapes[0].shadow.region().bounds().centre();
        let at = Point::new(room[0] / 2.0, room[1] / 2.0) - own;
        let now = Layout { beds: vec![vec![Item { shape: 0, at: Placement::at(at.x, at.y) }]], unplaced: vec![] };
        p.aim = Aim::TopUp { shares: vec![1.0], at_most: vec![1000], there: vec![1] };
        let kept = 1 + solve(&packing::kept(&p, &now), 1, Some(1), &Quiet).count();
        let all = arrange(&p, Some(&now), &terms(), &Quiet);
        assert_eq!(verify(&p, &all), Ok(()));
        [empty, kept, all.count()]
    }

    /// Top up alone with the copy kept where it lies, and on the empty bed, as a search over rooms found them (seed 1, 1 round):
    /// in each it lies in the way. 12 × 5 in 56 × 52: 48 is proved the most, by CP-SAT on normal patterns.
    #[test]
    fn copies_that_lie_in_the_way_make_it_no_fewer() {
        let corner = [[0., 0.], [30., 0.], [30., 10.], [10., 10.], [10., 30.], [0., 30.]].map(Point::from).to_vec();
        let tee = [[0., 0.], [10., 0.], [10., 10.], [20., 10.], [20., 20.], [-10., 20.], [-10., 10.], [0., 10.]];
        let regular = |corners: usize, radius: f64| shape(disc::regular(Point::default(), radius, corners));
        let cases = [
            ("12 × 5", shape(rectangle(12.0, 5.0)), [56.0, 52.0], 0.0, [47, 48]),
            ("12 × 5, narrower", shape(rectangle(12.0, 5.0)), [48.0, 52.0], 0.0, [40, 41]),
            ("25 × 14", shape(rectangle(25.0, 14.0)), [95.0, 95.0], 2.0, [19, 21]),
            ("blocks", shape(rectangle(20.0, 20.0)), [95.0, 95.0], 3.0, [13, 16]),
            ("corners", shape(Polygon::simple(corner)), [95.0, 95.0], 1.0, [11, 13]),
            ("tees", shape(Polygon::simple(tee.map(Point::from).to_vec())), [95.0, 95.0], 1.0, [14, 17]),
            ("hexagons", regular(6, 12.0), [95.0, 95.0], 1.0, [15, 16]),
            ("triangles", regular(3, 14.0), [95.0, 95.0], 1.0, [22, 24]),
            ("discs", regular(32, 9.0), [113.0, 95.0], 1.0, [27, 28]),
        ];
        let mut lost = Vec::new();
        for (name, shape, room, gap_mm, [kept, empty]) in cases {
            let found = counts(shape, room, gap_mm);
            assert_eq!(found[..2], [empty, kept], "{name}: no longer the case that was chosen");
            if found[2] < empty {
                lost.push((name, found));
            }
        }
        assert!(lost.is_empty(), "fewer than on the empty bed: {lost:?}");
    }

    /// Copies that are to stay are part of the bed: they stay, whatever moving them would gain.
    #[test]
    fn copies_that_are_to_stay_are_not_moved() {
        let mut p = task(shape(rectangle(12.0, 5.0)), [56.0, 52.0], 0.0);
        let stays = Item { shape: 0, at: Placement::at(22.0, 23.5) };
        p.beds[0].fixed = vec![stays];
        let added = arrange(&p, None, &terms(), &Quiet);
        assert_eq!(verify(&p, &added), Ok(()));
        assert_eq!(added.count() + 1, 47);
    }

    /// Where there is nothing to be had by moving copies, none is moved.
    #[test]
    fn copies_that_are_in_nobodys_way_stay() {
        let mut p = task(shape(rectangle(20.0, 20.0)), [100.0, 60.0], 0.0);
        p.aim = Aim::TopUp { shares: vec![1.0], at_most: vec![1000], there: vec![2] };
        let lying =
            vec![[40.0, 20.0], [0.0, 40.0]].into_iter().map(|[x, y]| Item { shape: 0, at: Placement::at(x, y) });
        let now = Layout { beds: vec![lying.collect()], unplaced: vec![] };
        let all = arrange(&p, Some(&now), &terms(), &Quiet);
        assert_eq!((all.count(), &all.beds[0][..2]), (15, &now.beds[0][..]));
    }

    /// Another part lies there that is not added to: it may be moved and is not lost, however many more there would be
    /// without it.
    #[test]
    fn other_parts_are_moved_and_never_lost() {
        let mut p = task(shape(rectangle(20.0, 20.0)), [100.0, 62.0], 0.0);
        p.shapes.push(shape(rectangle(40.0, 22.0)));
        p.aim = Aim::TopUp { shares: vec![1.0, 0.0], at_most: vec![1000, 1], there: vec![0, 1] };
        let now = Layout { beds: vec![vec![Item { shape: 1, at: Placement::at(29.0, 17.0) }]], unplaced: vec![] };
        let kept = solve(&packing::kept(&p, &now), 1, Some(1), &Quiet).count();
        let all = arrange(&p, Some(&now), &terms(), &Quiet);
        assert_eq!(verify(&p, &all), Ok(()));
        assert_eq!(all.beds[0].iter().filter(|i| i.shape == 1).count(), 1);
        // 100 × 62 in columns of 20: one over the plate's 40 × 22 along the back, 3 elsewhere: 5 · 3 less 2.
        assert!(kept < 13 && all.count() > 13, "{kept} {}", all.count() - 1);
    }
}
