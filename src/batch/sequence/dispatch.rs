//! A first order by looking at the clock.

use super::{Order, Runs, Window, people::People};

/// How urgent and how good a run is, least first; the run, when it is begun, and when its parts are off.
type Chosen = ((bool, i64, i64, i64), usize, i64, i64);

/// Runs in the order in which machines become free: each machine takes the run that is due soonest among those that are late otherwise, else the
/// one that leaves it idle for the smallest share of its time before somebody can take the parts off: long ones before closing, those that end
/// while somebody is there by day.
pub(super) fn by_the_clock(runs: &Runs) -> Order {
    let mut people = People::new(&runs.attended, runs.people);
    let mut free: Vec<i64> = runs.benches.iter().map(|b| b.free_s).collect();
    let mut load: Vec<_> = runs.benches.iter().map(|b| b.load).collect();
    let mut order = Order { steps: Vec::new(), bench: vec![0; runs.runs.len()] };
    let mut left: Vec<usize> = Vec::new();
    for (i, run) in runs.runs.iter().enumerate() {
        let Some((b, since_s)) = run.began else {
            left.push(i);
            continue;
        };
        order.steps.push(i);
        order.bench[i] = b;
        if let Some(on) = run.on.get(b).copied().flatten() {
            let cool_s = since_s + on.print_s + on.cool_s;
            let off = people.earliest(cool_s, runs.work.removal_s, |t| t).map_or(cool_s, |t| t + runs.work.removal_s);
            free[b] = free[b].max(off);
            load[b] = Some(run.load);
        }
    }
    let mut open: Vec<usize> = (0..free.len()).collect();
    while !left.is_empty() {
        let Some(&b) = open.iter().min_by_key(|b| (free[**b], **b)) else { break };
        let mut best: Option<Chosen> = None;
        for &i in &left {
            let run = &runs.runs[i];
            let Some(on) = run.on.get(b).copied().flatten() else { continue };
            let before_s = runs.work.before_s(load[b], run.load);
            let whole_s = before_s + on.print_s;
            let down = &runs.benches[b].down;
            let allows = |from: i64| {
                let first = down.partition_point(|d| d.to_s <= from);
                down[first..].iter().take_while(|d| d.from_s < from + whole_s).last().map_or(from, |d| d.to_s.max(from))
            };
            let from_s = free[b].max(run.not_before_s.saturating_sub(before_s));
            let Some(start_s) = people.earliest(from_s, before_s, allows) else { continue };
            let cool_s = start_s + whole_s + on.cool_s;
            let window = runs.attended.get(runs.attended.partition_point(|w| w.to_s <= cool_s));
            let off_s = window.map_or(cool_s + 86_400, |w| w.from_s.max(cool_s)) + runs.work.removal_s;
            // Shares in thousandths, so that all is whole.
            let idle = 1000 * (off_s - free[b] - on.print_s) / (off_s - free[b]).max(1);
            let pressed = run.due_s.is_some_and(|due| due < off_s + 86_400);
            let key = (!pressed, if pressed { run.due_s.unwrap_or(i64::MAX) } else { 0 }, idle, -on.print_s);
            if best.is_none_or(|(k, ..)| key < k) {
                best = Some((key, i, start_s, off_s));
            }
        }
        let Some((_, i, start_s, off_s)) = best else {
            // Nothing that is left can run on it.
            open.retain(|o| *o != b);
            continue;
        };
        let before_s = runs.work.before_s(load[b], runs.runs[i].load);
        people.take(Window::new(start_s, start_s + before_s));
        people.take(Window::new(off_s - runs.work.removal_s, off_s));
        free[b] = off_s;
        load[b] = Some(runs.runs[i].load);
        left.retain(|l| *l != i);
        order.steps.push(i);
        order.bench[i] = b;
    }
    for i in left {
        order.bench[i] = runs.runs[i].on.iter().position(Option::is_some).unwrap_or(0);
        order.steps.push(i);
    }
    order
}
