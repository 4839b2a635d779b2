//! A better order, by search.

use super::{Order, Plan, Runs, dispatch::by_the_clock, time};
use crate::{rng::Rng, watch::Watch};

/// Orders tried in one round.
const TRIES: usize = 500;
/// How far back the search compares, where it takes a step that is no better than the last one: late acceptance (Burke and Bykov, 2017).
const MEMORY: usize = 40;
/// Rounds without a better plan after which the search starts again from the best.
const PATIENCE: u64 = 8;

/// The best order found from a start, and its plan: never worse than the start. `rounds` of equal work; `None`: until cancelled.
/// The same seed and rounds give the same order. Late acceptance with four moves: a run goes elsewhere in the sequence, two runs change places,
/// a run goes to another machine, parts come off later (so that somebody sees to another machine first).
pub fn improve(runs: &Runs, start: Order, seed: u64, rounds: Option<u64>, watch: &dyn Watch<Plan>) -> (Order, Plan) {
    let plan = time(runs, &start);
    let mut best = (start, plan);
    for other in [Order::first(runs), by_the_clock(runs)] {
        let plan = time(runs, &other);
        if plan.cost < best.1.cost {
            best = (other, plan);
        }
    }
    watch.improved(&best.1);
    let free: Vec<usize> = (0..runs.runs.len()).filter(|i| runs.runs[*i].began.is_none()).collect();
    if free.is_empty() || best.0.bench.len() != runs.runs.len() {
        return best;
    }
    let mut rng = Rng::new(seed);
    let mut now = best.clone();
    let mut memory = vec![now.1.cost; MEMORY];
    let (mut tries, mut last_better) = (0_usize, 0);
    let mut round = 0;
    while rounds.is_none_or(|n| round < n) {
        watch.progress(rounds.map_or(0.0, |n| round as f64 / n as f64), "sequence");
        for _ in 0..TRIES {
            if watch.cancelled() {
                return best;
            }
            let mut order = now.0.clone();
            change(runs, &mut order, &free, &mut rng);
            let plan = time(runs, &order);
            let slot = tries % MEMORY;
            tries += 1;
            if plan.cost <= now.1.cost || plan.cost <= memory[slot] {
                now = (order, plan);
                if now.1.cost < best.1.cost {
                    best = now.clone();
                    last_better = round;
                    watch.improved(&best.1);
                }
            }
            memory[slot] = memory[slot].min(now.1.cost);
        }
        round += 1;
        if round - last_better > PATIENCE {
            // From the best again, and shaken.
            now = best.clone();
            for _ in 0..2 + rng.below(4) {
                change(runs, &mut now.0, &free, &mut rng);
            }
            now.1 = time(runs, &now.0);
            memory.fill(now.1.cost);
            last_better = round;
        }
    }
    best
}

/// One small change.
fn change(runs: &Runs, order: &mut Order, free: &[usize], rng: &mut Rng) {
    let i = free[rng.below(free.len())];
    match rng.below(8) {
        0..=2 => {
            lift(order, i);
            let n = order.steps.len() + 1;
            // Near its place or anywhere.
            order.steps.insert(rng.below(n), i);
            if rng.below(3) == 0 {
                elsewhere(runs, order, i, rng);
            }
        }
        3 | 4 => {
            let k = free[rng.below(free.len())];
            for step in &mut order.steps {
                *step = if *step == i {
                    k
                } else if *step == k {
                    i
                } else {
                    *step
                };
            }
            let takes = |run: usize, b: usize| runs.runs[run].on.get(b).copied().flatten().is_some();
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

/// Takes a run out of the steps.
fn lift(order: &mut Order, i: usize) {
    order.steps.retain(|s| *s != i);
}

/// Another machine for a run, where there is one.
fn elsewhere(runs: &Runs, order: &mut Order, i: usize, rng: &mut Rng) {
    let on = &runs.runs[i].on;
    let n = on.iter().flatten().count();
    if n > 1 {
        let k = rng.below(n);
        if let Some((b, _)) = on.iter().enumerate().filter(|(_, o)| o.is_some()).nth(k) {
            order.bench[i] = b;
        }
    }
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
