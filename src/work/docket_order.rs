//! An order as a docket can say it.

use crate::{
    batch::sequence::{Order, Plan, Runs, time},
    rng::Rng,
    watch::Watch,
};

/// Orders tried at most from each start, on the way to one that a docket can say.
const TRIES: usize = 3000;
/// Where time is up, so many tries are made all the same: without them what was found may be lost.
const HURRIED: usize = 400;
/// Tries without a better plan after which the search goes on from its best, shaken.
const PATIENCE: usize = 250;

/// The best order found from what a search came to, in which every run is named once (a docket says no more than a sequence: parts come off as
/// early as they can) and fixed runs keep their places of `start`; never worse than `start`. The same seed gives the same order.
pub(super) fn docket_order(
    runs: &Runs,
    start: &Order,
    (order, plan): (&Order, &Plan),
    fixed: &[bool],
    seed: u64,
    watch: &dyn Watch<Plan>,
) -> (Order, Plan) {
    let is_fixed = |i: &usize| fixed.get(*i) == Some(&true);
    let mut named: Vec<usize> = Vec::new();
    for i in &order.steps {
        if !named.contains(i) && !is_fixed(i) {
            named.push(*i);
        }
    }
    let begins = |i: &usize| plan.timed.iter().find(|t| t.run == *i).map_or(i64::MAX, |t| t.preparing.from_s);
    let mut by_start = named.clone();
    by_start.sort_by_key(begins);
    let timed = |here: &Docket| {
        let mut free = here.free.iter().copied();
        let steps = start.steps.iter().filter_map(|i| if is_fixed(i) { Some(*i) } else { free.next() }).collect();
        let order = Order { steps, bench: here.bench.clone() };
        let plan = time(runs, &order);
        (order, plan)
    };
    let mut rng = Rng::new(seed);
    let mut best = (start.clone(), time(runs, start));
    for free in [named, by_start] {
        let mut here = Docket { free, bench: order.bench.clone() };
        let mut now = timed(&here);
        let mut top = (here.clone(), now.1.cost);
        if now.1.cost < best.1.cost {
            best = now.clone();
        }
        let mut since = 0;
        for tried in 0..TRIES {
            // What the search found can at best be matched.
            if best.1.cost <= plan.cost || here.free.len() < 2 || tried > HURRIED && watch.cancelled() {
                break;
            }
            let mut next = here.clone();
            let moves = if since > PATIENCE { 3 } else { 1 };
            if since > PATIENCE {
                (next, since) = (top.0.clone(), 0);
            }
            for _ in 0..moves {
                next.change(runs, &mut rng);
            }
            let there = timed(&next);
            if moves > 1 || there.1.cost <= now.1.cost {
                (here, now) = (next, there);
            }
            since += 1;
            if now.1.cost < top.1 {
                top = (here.clone(), now.1.cost);
                since = 0;
            }
            if now.1.cost < best.1.cost {
                best = now.clone();
            }
        }
    }
    best
}

/// Runs that are free to move, in sequence, and the machine of every run.
#[derive(Clone)]
struct Docket {
    free: Vec<usize>,
    bench: Vec<usize>,
}

impl Docket {
    /// One run elsewhere in the sequence, and now and then on another machine that takes it.
    fn change(&mut self, runs: &Runs, rng: &mut Rng) {
        let n = self.free.len();
        let run = self.free.remove(rng.below(n));
        self.free.insert(rng.below(n), run);
        if rng.below(3) == 0
            && let Some(r) = runs.runs.get(run).filter(|r| r.began.is_none())
        {
            let takes: Vec<usize> = (0..r.on.len()).filter(|b| r.on[*b].is_some()).collect();
            if let (Some(bench), false) = (self.bench.get_mut(run), takes.is_empty()) {
                *bench = takes[rng.below(takes.len())];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        batch::sequence::{Bench, HandWork, Load, OnBench, Run, Window, improve},
        watch::Quiet,
    };

    fn runs(machines: usize, hours: &[i64]) -> Runs {
        let run = |h: &i64| Run {
            on: vec![Some(OnBench { print_s: h * 3600, cool_s: 0 }); machines],
            load: Load { material: 0, colour: 0 },
            due_s: None,
            not_before_s: 0,
            began: None,
        };
        Runs {
            benches: vec![Bench::default(); machines],
            runs: hours.iter().map(run).collect(),
            attended: (0..9).map(|d| Window::new(d * 86_400, d * 86_400 + 9 * 3600)).collect(),
            people: 1,
            work: HandWork { preparing_s: 900, removal_s: 300, ..HandWork::default() },
        }
    }

    /// Of plates of 4, 4, 4 and 12 h the longest goes last before closing: 4, 4, 12, 4 (OR-Tools CP-SAT).
    #[test]
    fn a_docket_is_as_good_as_what_was_found_and_fixed_runs_stay() {
        let r = runs(1, &[12, 4, 4, 4]);
        let start = Order::as_given(vec![0; 4]);
        let (order, plan) = improve(&r, start.clone(), 1, Some(2), &Quiet);
        let (docket, timed) = docket_order(&r, &start, (&order, &plan), &[false; 4], 1, &Quiet);
        assert_eq!(timed.cost, plan.cost);
        assert_eq!(docket.steps.iter().position(|i| *i == 0), Some(2), "{docket:?}");
        let fixed = [true, false, false, false];
        let (docket, timed) = docket_order(&r, &start, (&order, &plan), &fixed, 1, &Quiet);
        assert_eq!(docket.steps[0], 0);
        assert!(timed.cost <= time(&r, &start).cost);
        let mut all = docket.steps.clone();
        all.sort_unstable();
        assert_eq!(all, [0, 1, 2, 3]);
    }
}
