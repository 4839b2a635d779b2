//! An order as a docket can say it.

use crate::{
    batch::sequence::{Order, Plan, Runs, time},
    watch::Watch,
};

/// Orders tried at most, on the way to one that a docket can say.
const TRIES: usize = 4000;

/// The best order found from what a search came to, in which every run is named once (a docket says no more than a sequence: parts come off as
/// early as they can) and fixed runs keep their places of `start`; never worse than `start`.
pub(super) fn docket_order(
    runs: &Runs,
    start: &Order,
    found: (&Order, &Plan),
    fixed: &[bool],
    watch: &dyn Watch<Plan>,
) -> (Order, Plan) {
    let (order, plan) = found;
    let is_fixed = |i: &usize| fixed.get(*i) == Some(&true);
    let mut named: Vec<usize> = Vec::new();
    for i in &order.steps {
        if !named.contains(i) {
            named.push(*i);
        }
    }
    let begins = |i: &usize| plan.timed.iter().find(|t| t.run == *i).map_or(i64::MAX, |t| t.preparing.from_s);
    let mut by_start = named.clone();
    by_start.sort_by_key(begins);
    let timed = |free: &[usize]| {
        let mut free = free.iter().copied();
        let steps = start.steps.iter().filter_map(|i| if is_fixed(i) { Some(*i) } else { free.next() }).collect();
        let order = Order { steps, bench: order.bench.clone() };
        let plan = time(runs, &order);
        (order, plan)
    };
    let mut best = (start.clone(), time(runs, start));
    let mut tries = 0;
    for mut free in [named, by_start] {
        free.retain(|i| !is_fixed(i));
        let mut here = timed(&free);
        // One run elsewhere, as long as that helps.
        let mut better = true;
        while better && here.1.cost > plan.cost {
            better = false;
            let n = free.len();
            for (from, to) in (0..n).flat_map(|a| (0..n).map(move |b| (a, b))).filter(|(a, b)| a != b) {
                if tries >= TRIES || watch.cancelled() && tries > 2 {
                    break;
                }
                tries += 1;
                let mut next = free.clone();
                let run = next.remove(from);
                next.insert(to, run);
                let there = timed(&next);
                if there.1.cost < here.1.cost {
                    (free, here, better) = (next, there, true);
                }
            }
        }
        if here.1.cost < best.1.cost {
            best = here;
        }
    }
    best
}
