//! A better order, by search.

use super::{Order, Plan, Runs, dispatch::by_the_clock, order::FIRST_FREE, smooth::Smooth, time};
use crate::{rng::Rng, watch::Watch};

/// Orders tried in one round.
const TRIES: u64 = 500;
/// Rounds of the first two phases; each further pair lasts twice as long.
const FIRST_PHASE: u64 = 6;
/// How far back late acceptance compares.
const MEMORY: usize = 40;
/// By how much a step may be worse where the cooling begins and ends, s: 2 h and 1 min.
const WORSE_S: (f64, f64) = (7200.0, 60.0);

/// The best order found from a start, and its plan: never worse than the start. `rounds` of equal work; `None`: until cancelled.
/// The same seed and rounds give the same order. By turns simulated annealing (Kirkpatrick, Gelatt and Vecchi, 1983) by a smoothed cost, and late
/// acceptance (Burke and Bykov, 2017) by the cost as it counts, each phase from the best so far, with four moves: a run goes elsewhere in the sequence, two runs change places, a run goes to another machine or to
/// whichever is free first, parts come off later (so that somebody sees to another machine first).
pub fn improve(runs: &Runs, start: Order, seed: u64, rounds: Option<u64>, watch: &dyn Watch<Plan>) -> (Order, Plan) {
    let smooth = Smooth::new(runs);
    let judged = |order: Order| {
        let plan = time(runs, &order);
        let cost_s = smooth.cost_s(runs, &plan);
        (order, plan, cost_s)
    };
    let whole = start.bench.len() == runs.runs.len();
    let mut best = judged(start);
    let mut top = best.clone();
    for order in [Order::first(runs), by_the_clock(runs)] {
        let free = order.bench.iter().zip(&runs.runs).map(|(b, r)| if r.began.is_some() { *b } else { FIRST_FREE });
        let free = Order { steps: order.steps.clone(), bench: free.collect() };
        for other in [order, free].map(judged) {
            if other.1.cost < best.1.cost {
                best = other.clone();
            }
            if other.2 < top.2 {
                top = other;
            }
        }
    }
    watch.improved(&best.1);
    let movable: Vec<usize> = (0..runs.runs.len()).filter(|i| runs.runs[*i].began.is_none()).collect();
    if movable.is_empty() || !whole {
        return on_machines(best);
    }
    let mut rng = Rng::new(seed);
    let mut now = top.clone();
    // By turns: annealed by what is smooth, then by what counts.
    let (mut round, mut phase, mut lasts, mut since) = (0, 0_u32, FIRST_PHASE, 0);
    let mut memory = vec![best.1.cost; MEMORY];
    while rounds.is_none_or(|n| round < n) {
        watch.progress(rounds.map_or(0.0, |n| round as f64 / n as f64), "sequence");
        for k in 0..TRIES {
            if watch.cancelled() {
                return on_machines(best);
            }
            let mut order = now.0.clone();
            change(runs, &mut order, &movable, &mut rng);
            let next = judged(order);
            if phase.is_multiple_of(2) {
                let done = (since * TRIES + k) as f64 / (lasts * TRIES) as f64;
                let worse_s = WORSE_S.0 * (WORSE_S.1 / WORSE_S.0).powf(done);
                if next.2 <= now.2 || rng.unit() < ((now.2 - next.2) / worse_s).exp() {
                    now = next;
                }
            } else {
                let slot = &mut memory[(since * TRIES + k) as usize % MEMORY];
                if next.1.cost <= now.1.cost || next.1.cost <= *slot {
                    now = next;
                }
                *slot = now.1.cost.min(*slot);
            }
            if now.2 < top.2 {
                top = now.clone();
            }
            if now.1.cost < best.1.cost {
                best = now.clone();
                watch.improved(&best.1);
            }
        }
        round += 1;
        since += 1;
        if since == lasts {
            (phase, since) = (phase + 1, 0);
            if phase.is_multiple_of(2) {
                lasts *= 2;
                now = top.clone();
            } else {
                // From the best, and a little shaken.
                let mut order = best.0.clone();
                for _ in 0..=rng.below(3) {
                    change(runs, &mut order, &movable, &mut rng);
                }
                now = judged(order);
                memory.fill(now.1.cost);
            }
        }
    }
    on_machines(best)
}

/// The order with the machines that were free first named.
fn on_machines((mut order, plan, _): (Order, Plan, f64)) -> (Order, Plan) {
    for t in &plan.timed {
        if let Some(b) = order.bench.get_mut(t.run) {
            *b = t.bench;
        }
    }
    for b in order.bench.iter_mut().filter(|b| **b == FIRST_FREE) {
        *b = 0;
    }
    (order, plan)
}

/// One small change.
fn change(runs: &Runs, order: &mut Order, movable: &[usize], rng: &mut Rng) {
    let i = movable[rng.below(movable.len())];
    match rng.below(8) {
        0..=2 => {
            order.steps.retain(|s| *s != i);
            order.steps.insert(rng.below(order.steps.len() + 1), i);
            if rng.below(3) == 0 {
                elsewhere(runs, order, i, rng);
            }
        }
        3 | 4 => {
            let k = movable[rng.below(movable.len())];
            for step in &mut order.steps {
                *step = if *step == i {
                    k
                } else if *step == k {
                    i
                } else {
                    *step
                };
            }
            let takes = |run: usize, b: usize| b == FIRST_FREE || runs.runs[run].on.get(b).copied().flatten().is_some();
            let (a, b) = (order.bench[i], order.bench[k]);
            if takes(i, b) && takes(k, a) && rng.below(4) > 0 {
                order.bench.swap(i, k);
            }
        }
        5 | 6 => elsewhere(runs, order, i, rng),
        _ => {
            let first = order.steps.iter().position(|s| *s == i);
            let last = order.steps.iter().rposition(|s| *s == i);
            if let (Some(first), Some(last)) = (first, last) {
                if last > first {
                    order.steps.remove(last);
                } else {
                    let after = order.steps.len() - first;
                    order.steps.insert(first + 1 + rng.below(after), i);
                }
            }
        }
    }
}

/// Another machine for a run, or whichever is free first.
fn elsewhere(runs: &Runs, order: &mut Order, i: usize, rng: &mut Rng) {
    let on = &runs.runs[i].on;
    let n = on.iter().flatten().count();
    if n < 2 {
        return;
    }
    let k = rng.below(2 * n);
    let named = on.iter().enumerate().filter(|(_, o)| o.is_some()).nth(k);
    order.bench[i] = named.map_or(FIRST_FREE, |(b, _)| b);
}

#[cfg(test)]
mod tests {
    use super::super::{
        finish_bound_s,
        fixtures::{days, runs},
    };
    use super::*;
    use crate::watch::Quiet;

    fn best_h(r: &Runs) -> f64 {
        let start = Order::first(r);
        let before = time(r, &start).cost;
        let (order, plan) = improve(r, start, 7, Some(20), &Quiet);
        assert_eq!(time(r, &order), plan);
        assert!(plan.cost <= before);
        assert!(finish_bound_s(r) <= plan.cost.finish_s);
        plan.cost.finish_s as f64 / 3600.0
    }

    /// Best finishes of plates on equal machines without hand work, by OR-Tools CP-SAT; the tight cases of LPT (Graham 1969).
    #[test]
    fn the_lpt_table() {
        let always = [super::super::Window::new(0, 10_000_000)];
        let table: [(&[f64], usize, f64); 7] = [
            (&[3.0, 3.0, 2.0, 2.0, 2.0], 2, 6.0),
            (&[5.0, 5.0, 4.0, 4.0, 3.0, 3.0, 3.0], 3, 9.0),
            (&[7.0, 7.0, 6.0, 6.0, 5.0, 5.0, 4.0, 4.0, 4.0], 4, 12.0),
            (&[5.0, 4.0, 3.0, 3.0, 3.0], 2, 9.0),
            (&[4.0, 5.0, 6.0, 7.0, 8.0], 2, 15.0),
            (&[4.0, 5.0, 6.0, 7.0, 8.0], 3, 11.0),
            (&[8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0], 3, 12.0),
        ];
        for (hours, m, expected) in table {
            let mut r = runs(m, hours, &always);
            r.work.preparing_s = 0;
            assert_eq!(best_h(&r), expected, "{hours:?} on {m}");
        }
    }

    /// Changeovers of 15 min inside 08:00 to 17:00 (OR-Tools CP-SAT, quarter-hour ticks).
    #[test]
    fn attended_windows() {
        assert_eq!(best_h(&runs(1, &[4.0, 4.0, 4.0, 12.0], &days(14))), 28.25);
        assert_eq!(best_h(&runs(2, &[10.0; 3], &days(14))), 34.25);
        let mut r = runs(2, &[4.0, 4.0, 4.0, 12.0, 6.0, 14.0], &days(14));
        assert_eq!(best_h(&r), 28.25);
        r.people = 2;
        assert_eq!(best_h(&r), 28.25);
    }

    #[test]
    fn the_same_seed_gives_the_same_order() {
        let hours: Vec<f64> = (0..20).map(|i| 1.0 + f64::from(i * 7 % 11)).collect();
        let mut r = runs(3, &hours, &days(60));
        r.work.removal_s = 300;
        r.work.colour_s = 300;
        for (i, run) in r.runs.iter_mut().enumerate() {
            run.load.colour = i as u32 % 3;
            run.due_s = (i % 4 == 0).then_some(100_000);
        }
        let of = |seed| improve(&r, Order::first(&r), seed, Some(4), &Quiet);
        assert_eq!(of(1), of(1));
        assert!(of(1).1.cost.not_run == 0 && finish_bound_s(&r) <= of(2).1.cost.finish_s);
    }

    #[test]
    fn nothing_to_do() {
        let r = runs(2, &[], &days(3));
        assert_eq!(improve(&r, Order::default(), 1, Some(3), &Quiet).1, Plan::default());
        let r = runs(0, &[1.0], &days(3));
        assert_eq!(improve(&r, Order::first(&r), 1, Some(3), &Quiet).1.cost.not_run, 1);
    }
}
