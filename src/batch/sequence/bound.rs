//! What no plan can beat.

use super::{Bench, Order, Runs, Window, time};

/// Most runs on one machine whose orders are all tried.
const TRIED: usize = 5;

/// No plan of these runs has its last print end earlier, s from the start of the plan. The greatest of
/// - what each run needs by itself, however early it starts;
/// - hand work and printing against the time there is: by day all of it, by night at most one run on each machine, since nobody changes over then;
/// - of k m + 1 runs on m machines k + 1 on one of them, and these are at least as long as the shortest of them.
///
/// Also for the runs that one machine alone can take. Downtimes, changes of filament and other people's work are left out, so it may be too low.
pub fn finish_bound_s(runs: &Runs) -> i64 {
    let began = runs.runs.iter().filter_map(|r| {
        let (b, since_s) = r.began?;
        Some(since_s + r.on.get(b).copied().flatten()?.print_s)
    });
    let mut bound = began.max().unwrap_or(0);
    let all: Vec<usize> = (0..runs.runs.len()).filter(|i| runs.runs[*i].began.is_none()).collect();
    let benches: Vec<usize> = (0..runs.benches.len()).collect();
    bound = bound.max(of(runs, &all, &benches));
    for &b in &benches {
        let only: Vec<usize> = all
            .iter()
            .copied()
            .filter(|i| runs.runs[*i].on.iter().enumerate().all(|(k, on)| on.is_some() == (k == b)))
            .collect();
        if only.len() < all.len() {
            bound = bound.max(of(runs, &only, &[b]));
        }
    }
    bound
}

/// No plan has its parts less late, all runs together, s.
pub fn late_bound_s(runs: &Runs) -> i64 {
    let mut alone = 0;
    let mut dues: Vec<i64> = Vec::new();
    // A change of filament may have been another run's.
    let empty: Vec<Bench> = runs.benches.iter().map(|b| Bench { load: None, ..b.clone() }).collect();
    for run in &runs.runs {
        let Some(due_s) = run.due_s else { continue };
        dues.push(due_s);
        let one = Runs { runs: vec![run.clone()], benches: empty.clone(), ..runs.clone() };
        let ready =
            (0..runs.benches.len()).filter_map(|b| time(&one, &Order::as_given(vec![b])).timed.first()?.ready_s());
        alone += ready.min().map_or(0, |r| (r - due_s).max(0));
    }
    dues.sort_unstable();
    dues.dedup();
    let together = dues.into_iter().map(|due_s| {
        let early = runs.runs.iter().filter(|r| r.due_s.is_some_and(|d| d <= due_s)).cloned().collect();
        (finish_bound_s(&Runs { runs: early, ..runs.clone() }) - due_s).max(0)
    });
    alone.max(together.max().unwrap_or(0))
}

fn of(runs: &Runs, which: &[usize], benches: &[usize]) -> i64 {
    // What each run takes at least, the longest first.
    let mut prints: Vec<(i64, i64)> = which
        .iter()
        .filter_map(|i| {
            let run = &runs.runs[*i];
            let on = benches.iter().filter_map(|b| run.on.get(*b).copied().flatten());
            let (print, cool) = on.fold((i64::MAX, i64::MAX), |(p, c), o| (p.min(o.print_s), c.min(o.cool_s)));
            (print < i64::MAX).then_some((print, cool))
        })
        .collect();
    prints.sort_unstable_by(|a, b| b.cmp(a));
    let m = benches.len();
    let free_s = benches.iter().map(|b| runs.benches[*b].free_s).min().unwrap_or(0).max(0);
    if prints.is_empty() || m == 0 {
        return 0;
    }
    let cool_s = prints.iter().map(|p| p.1).min().unwrap_or(0);
    let one_bench = Runs {
        benches: vec![Bench { free_s, ..Default::default() }],
        attended: runs.attended.clone(),
        people: 1,
        work: super::HandWork {
            removal_s: runs.work.removal_s,
            preparing_s: runs.work.preparing_s,
            ..Default::default()
        },
        runs: Vec::new(),
    };
    let mut bound = 0;
    // The longest alone; then those that must share a machine.
    for share in 1..=TRIED.min(prints.len()) {
        let among = (share - 1) * m + 1;
        if among > prints.len() {
            break;
        }
        let shortest: Vec<i64> = prints[..among].iter().rev().take(share).map(|p| p.0).collect();
        bound = bound.max(best_alone(&one_bench, &shortest, cool_s));
    }
    bound.max(by_time(runs, &prints, m, free_s))
}

/// The earliest finish of so many runs on one machine, over all orders.
fn best_alone(one: &Runs, prints: &[i64], cool_s: i64) -> i64 {
    let run = |print_s: &i64| super::Run {
        on: vec![Some(super::OnBench { print_s: *print_s, cool_s })],
        load: super::Load { material: 0, colour: 0 },
        due_s: None,
        not_before_s: i64::MIN / 4,
        began: None,
    };
    let r = Runs { runs: prints.iter().map(run).collect(), ..one.clone() };
    let mut steps: Vec<usize> = (0..prints.len()).collect();
    let mut best = i64::MAX;
    // Heap's algorithm, without recursion.
    let mut c = vec![0; steps.len()];
    let mut i = 0;
    loop {
        let plan = time(&r, &Order { steps: steps.clone(), bench: vec![0; steps.len()] });
        if plan.not_run.is_empty() {
            best = best.min(plan.cost.finish_s);
        }
        while i < steps.len() && c[i] >= i {
            c[i] = 0;
            i += 1;
        }
        if i >= steps.len() {
            break;
        }
        let other = if i % 2 == 0 { 0 } else { c[i] };
        steps.swap(other, i);
        c[i] += 1;
        i = 0;
    }
    // Where no order can be run there is nothing to say.
    if best == i64::MAX { 0 } else { best }
}

/// The earliest finish by the time there is.
fn by_time(runs: &Runs, prints: &[(i64, i64)], m: usize, free_s: i64) -> i64 {
    let n = i64::try_from(prints.len()).unwrap_or(i64::MAX / 2);
    let machines = i64::try_from(m).unwrap_or(i64::MAX / 2);
    let printing: i64 = prints.iter().map(|p| p.0).sum();
    // Parts come off and cool between two runs of a machine, not after its last.
    let after = (n - machines).max(0) * runs.work.removal_s;
    let by_day = n * runs.work.preparing_s + after;
    let windows: Vec<Window> = runs.attended.iter().copied().filter(|w| w.to_s > free_s).collect();
    let Some(last) = windows.last() else { return 0 };
    let (mut least, mut most) = (free_s, last.to_s.max(free_s) + printing + by_day);
    if !enough(&windows, prints, m, free_s, most, printing, by_day) {
        return 0;
    }
    while most - least > 1 {
        let middle = least + (most - least) / 2;
        if enough(&windows, prints, m, free_s, middle, printing, by_day) {
            most = middle;
        } else {
            least = middle;
        }
    }
    most
}

/// Whether there may be time enough until `end_s`.
fn enough(
    windows: &[Window],
    prints: &[(i64, i64)],
    m: usize,
    free_s: i64,
    end_s: i64,
    printing: i64,
    by_day: i64,
) -> bool {
    let (mut day_s, mut nights, mut longest_s, mut night_s) = (0, 0_usize, 0, 0);
    let mut at = free_s;
    let mut shortest_day = i64::MAX;
    for w in windows.iter().chain([&Window::new(i64::MAX, i64::MAX)]) {
        let night = w.from_s.min(end_s) - at;
        // Nobody prepares anything before the first attended time: no run can print through that night.
        if night > 0 && at > free_s {
            nights += 1;
            longest_s = longest_s.max(night);
            night_s += night;
        }
        if w.from_s >= end_s {
            break;
        }
        let day = w.to_s.min(end_s) - w.from_s.max(free_s);
        day_s += day;
        if w.to_s < end_s {
            shortest_day = shortest_day.min(day);
        }
        at = w.to_s.max(free_s);
    }
    // By night each machine has one run, which prints no longer than it is, nor than the night.
    let slots = nights * m;
    let mut pieces: Vec<i64> = Vec::new();
    for (p, _) in prints {
        let mut left = *p;
        while left > 0 && longest_s > 0 && pieces.len() < 100_000 {
            pieces.push(left.min(longest_s));
            // A run goes on through the next night only where it lasts the day between.
            left = if left > longest_s { left - longest_s - shortest_day.clamp(0, i64::MAX / 2) } else { 0 };
        }
    }
    pieces.sort_unstable_by(|a, b| b.cmp(a));
    let machines = i64::try_from(m).unwrap_or(i64::MAX / 2);
    let by_night: i64 = pieces.iter().take(slots).sum::<i64>().min(night_s.saturating_mul(machines));
    printing + by_day <= day_s.saturating_mul(machines).saturating_add(by_night)
}
