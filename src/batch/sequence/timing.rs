//! An order of runs → times.

use super::{Cost, Load, NotRun, Order, Plan, Runs, Timed, Window, order::FIRST_FREE, people::People};

/// A machine on the way through the plan.
struct At {
    free_s: i64,
    load: Option<Load>,
    /// The run whose parts are still on it: its place in the plan.
    holds: Option<usize>,
    printed_s: i64,
    last_end_s: Option<i64>,
}

/// Puts runs in time: step by step in the order given, each as early as people, machine and downtimes allow. Runs that began already come
/// first. Every plan in which nothing could come earlier is the outcome of some order.
pub fn time(runs: &Runs, order: &Order) -> Plan {
    let mut people = People::new(&runs.attended, runs.people);
    let mut at: Vec<At> = runs
        .benches
        .iter()
        .map(|b| At { free_s: b.free_s, load: b.load, holds: None, printed_s: 0, last_end_s: None })
        .collect();
    let mut plan = Plan::default();
    let mut place: Vec<Option<usize>> = vec![None; runs.runs.len()];
    let mut named = vec![0_usize; runs.runs.len()];
    for &i in &order.steps {
        if let Some(n) = named.get_mut(i) {
            *n += 1;
        }
    }
    for (i, run) in runs.runs.iter().enumerate() {
        let Some((b, since_s)) = run.began else { continue };
        let (Some(on), Some(bench)) = (run.on.get(b).copied().flatten(), at.get_mut(b)) else { continue };
        let print = Window::new(since_s, since_s + on.print_s);
        // What was said to run at the same time on the same machine has its parts taken off by now.
        place[i] = Some(plan.timed.len());
        bench.free_s = bench.free_s.max(print.to_s);
        bench.load = Some(run.load);
        bench.holds = Some(plan.timed.len());
        bench.printed_s += on.print_s;
        bench.last_end_s = bench.last_end_s.max(Some(print.to_s));
        let cool_s = print.to_s + on.cool_s;
        plan.timed.push(Timed {
            run: i,
            bench: b,
            preparing: Window::new(since_s, since_s),
            print,
            cool_s,
            removal: None,
        });
        named[i] += 1;
        if named[i] < 3 {
            unload(runs, &mut people, &mut at[b], &mut plan);
        }
    }
    let mut changes = 0;
    for &i in &order.steps {
        let Some(run) = runs.runs.get(i) else { continue };
        let mut b = order.bench.get(i).copied().unwrap_or(usize::MAX);
        if b == FIRST_FREE && place[i].is_none() {
            let may = (0..at.len()).filter(|b| run.on.get(*b).copied().flatten().is_some());
            b = may.min_by_key(|b| (at[*b].free_s, at[*b].load != Some(run.load), *b)).unwrap_or(usize::MAX);
        }
        if let Some(p) = place[i] {
            let b = plan.timed[p].bench;
            if at[b].holds == Some(p) {
                unload(runs, &mut people, &mut at[b], &mut plan);
            }
            continue;
        }
        if plan.not_run.iter().any(|(n, _)| *n == i) {
            continue;
        }
        let (Some(on), true) = (run.on.get(b).copied().flatten(), b < at.len()) else {
            plan.not_run.push((i, NotRun::NoMachine));
            continue;
        };
        if at[b].holds.is_some() {
            unload(runs, &mut people, &mut at[b], &mut plan);
        }
        let bench = &mut at[b];
        let before_s = runs.work.before_s(bench.load, run.load);
        let whole_s = before_s + on.print_s;
        let down = &runs.benches[b].down;
        // Preparing and printing are one piece, which no downtime may cut.
        let allows = |from: i64| {
            let whole = Window::new(from, from + whole_s);
            let first = down.partition_point(|d| d.to_s <= from);
            down[first..].iter().take_while(|d| d.from_s < whole.to_s).last().map_or(from, |d| d.to_s.max(from))
        };
        let from_s = bench.free_s.max(run.not_before_s.saturating_sub(before_s));
        let start = if bench.holds.is_some() { None } else { people.earliest(from_s, before_s, allows) };
        let Some(from_s) = start else {
            plan.not_run.push((i, NotRun::NoTime));
            continue;
        };
        let preparing = Window::new(from_s, from_s + before_s);
        people.take(preparing);
        let print = Window::new(preparing.to_s, preparing.to_s + on.print_s);
        changes += usize::from(bench.load.is_some_and(|l| l != run.load));
        bench.load = Some(run.load);
        bench.free_s = print.to_s;
        bench.holds = Some(plan.timed.len());
        bench.printed_s += on.print_s;
        bench.last_end_s = Some(print.to_s);
        place[i] = Some(plan.timed.len());
        plan.timed.push(Timed { run: i, bench: b, preparing, print, cool_s: print.to_s + on.cool_s, removal: None });
        if named[i] == 1 {
            unload(runs, &mut people, &mut at[b], &mut plan);
        }
    }
    for bench in &mut at {
        if bench.holds.is_some() {
            unload(runs, &mut people, bench, &mut plan);
        }
    }
    plan.cost = cost(runs, &at, &plan, changes);
    plan
}

/// Takes the parts off a machine, as early as people allow; it is free then.
fn unload(runs: &Runs, people: &mut People<'_>, bench: &mut At, plan: &mut Plan) {
    let Some(p) = bench.holds else { return };
    let length_s = runs.work.removal_s;
    let Some(from_s) = people.earliest(plan.timed[p].cool_s, length_s, |t| t) else { return };
    let removal = Window::new(from_s, from_s + length_s);
    people.take(removal);
    plan.timed[p].removal = Some(removal);
    bench.free_s = bench.free_s.max(removal.to_s);
    bench.holds = None;
}

fn cost(runs: &Runs, at: &[At], plan: &Plan, changes: usize) -> Cost {
    let mut cost = Cost { not_run: plan.not_run.len(), changes, ..Cost::default() };
    for t in &plan.timed {
        cost.finish_s = cost.finish_s.max(t.print.to_s);
        match t.ready_s() {
            Some(ready_s) => {
                cost.ready_sum_s += ready_s;
                cost.late_s += runs.runs[t.run].due_s.map_or(0, |due| (ready_s - due).max(0));
            }
            None => cost.not_run += 1,
        }
    }
    for (at, bench) in at.iter().zip(&runs.benches) {
        if let Some(end_s) = at.last_end_s {
            cost.idle_s += (end_s - bench.free_s.min(end_s) - at.printed_s).max(0);
        }
    }
    cost
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::{days, runs};
    use super::*;

    fn finish_h(runs: &Runs, steps: &[usize], bench: &[usize]) -> f64 {
        let plan = time(runs, &Order { steps: steps.to_vec(), bench: bench.to_vec() });
        assert_eq!(plan.cost.not_run, 0);
        plan.cost.finish_s as f64 / 3600.0
    }

    /// Plates of 4, 4, 4 and 12 h on one machine; changeovers of 15 min inside 08:00 to 17:00, printing at any time. By hand, and the best
    /// of them by OR-Tools CP-SAT.
    #[test]
    fn the_longest_last_before_closing() {
        let r = runs(1, &[4.0, 4.0, 4.0, 12.0], &days(7));
        for (steps, expected) in
            [([0, 1, 3, 2], 28.25), ([0, 3, 1, 2], 32.5), ([0, 1, 2, 3], 36.25), ([3, 0, 1, 2], 36.75)]
        {
            assert_eq!(finish_h(&r, &steps, &[0; 4]), expected, "{steps:?}");
        }
    }

    /// Two machines and three plates of 10 h; the same with somebody always there (by hand).
    #[test]
    fn two_machines_one_person() {
        let mut r = runs(2, &[10.0; 3], &days(7));
        assert_eq!(finish_h(&r, &[0, 1, 2], &[0, 1, 0]), 34.25);
        r.attended = vec![Window::new(0, 7 * 24 * 3600)];
        assert_eq!(finish_h(&r, &[0, 1, 2], &[0, 1, 0]), 20.5);
        // One person prepares one machine after the other: the second plate begins a quarter of an hour later.
        let plan = time(&r, &Order { steps: vec![0, 1, 2], bench: vec![0, 1, 0] });
        assert_eq!(plan.timed[1].print.from_s, 1800);
        r.people = 2;
        let plan = time(&r, &Order { steps: vec![0, 1, 2], bench: vec![0, 1, 0] });
        assert_eq!(plan.timed[1].print.from_s, 900);
    }

    #[test]
    fn no_downtime_cuts_a_print_and_colours_are_changed() {
        let mut r = runs(1, &[3.0, 3.0], &days(7));
        r.work.colour_s = 600;
        r.runs[1].load.colour = 7;
        r.benches[0].load = Some(r.runs[0].load);
        r.benches[0].down = vec![Window::new(3600, 2 * 3600), Window::new(8 * 3600, 9 * 3600)];
        let plan = time(&r, &Order::as_given(vec![0, 0]));
        assert_eq!(plan.timed[0].preparing, Window::new(2 * 3600, 2 * 3600 + 900));
        // The afternoon's downtime and then the night: the next morning, with the change.
        assert_eq!(plan.timed[1].preparing, Window::new(24 * 3600, 24 * 3600 + 1500));
        assert_eq!(plan.cost.changes, 1);
    }

    /// Parts that cool until after closing time come off in the morning; one that runs already is counted from its beginning.
    #[test]
    fn cooling_and_what_began_before() {
        let mut r = runs(1, &[9.0, 1.0], &days(7));
        r.work.removal_s = 300;
        r.runs[0].began = Some((0, -1800));
        r.runs[0].on[0] = Some(super::super::OnBench { print_s: 9 * 3600, cool_s: 1800 });
        r.runs[0].due_s = Some(23 * 3600);
        let plan = time(&r, &Order::as_given(vec![0, 0]));
        assert_eq!(plan.timed[0].print, Window::new(-1800, 8 * 3600 + 1800));
        assert_eq!(plan.timed[0].removal, Some(Window::new(24 * 3600, 24 * 3600 + 300)));
        assert_eq!(plan.cost.late_s, 3900);
        assert_eq!(plan.timed[1].print.from_s, 24 * 3600 + 300 + 900);
    }

    #[test]
    fn nobody_ever_there() {
        let mut r = runs(1, &[1.0], &[]);
        assert_eq!(time(&r, &Order::as_given(vec![0])).not_run, [(0, NotRun::NoTime)]);
        r.attended = vec![Window::new(0, 899)];
        assert_eq!(time(&r, &Order::as_given(vec![0])).not_run, [(0, NotRun::NoTime)]);
        r.attended = days(1);
        r.people = 0;
        assert_eq!(time(&r, &Order::as_given(vec![0])).not_run, [(0, NotRun::NoTime)]);
        assert_eq!(time(&r, &Order::as_given(vec![9])).not_run, [(0, NotRun::NoMachine)]);
        r.people = 1;
        r.work.removal_s = 10 * 3600;
        let plan = time(&r, &Order::as_given(vec![0]));
        assert_eq!((plan.timed[0].removal, plan.cost.not_run), (None, 1));
    }
}
