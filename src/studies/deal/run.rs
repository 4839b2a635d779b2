//! Dealing out.

use std::time::{Duration, Instant};

use super::{
    DealError, DealStanding, DealTask, Dealt,
    asked::{Asked, FreePlate},
    board::{Board, Dealing, ON_THE_SAFE_SIDE, Slot},
    bound::finish_bound_s,
    finish::{by_beginning, dealt, lay_out},
    first::first,
    line_time::ContentTime,
    packer::Packer,
    search::{Terms, search},
};
use crate::{
    batch::sequence::{Order, Plan, Runs, improve},
    watch::Watch,
};

/// Of the time allowed, what searching over plates may take; the rest is for places, exact times and their sequence.
const SEARCHING: f64 = 0.8;
/// Rounds of searching for tighter layouts where there is time for them.
const TIGHTER_ROUNDS: u64 = 1;
/// Most rounds for the sequence by exact times.
const SEQUENCE_ROUNDS: u64 = 20;
/// Of the time allowed, what looking for tighter layouts may take.
const TIGHTER: f64 = 0.15;
/// Time from which on tighter layouts are looked for.
const TIME_FOR_TIGHTER: Duration = Duration::from_secs(8);

/// Deals the order out over plates, machines and days: on time first, then the earliest finish, well cooled, with machines that stand idle as
/// little as possible, then few changes of filament and little waste. Plates that are locked, fixed, or have started stay as they are;
/// others are the beginning of the search.
///
/// `watch` hears how it gets on. Cancelled, it ends with the best so far. The same seed and rounds give the same plates unless the time
/// ends the search.
///
/// # Errors
/// [`DealError`] where nothing can be dealt at all.
pub fn deal(task: &DealTask, watch: &dyn Watch<DealStanding>) -> Result<Dealt, DealError> {
    let begun = Instant::now();
    let until = |share: f64| task.time.and_then(|t| begun.checked_add(t.mul_f64(share)));
    watch.progress(0.0, "reading the order");
    let asked = Asked::new(task)?;
    let stop = || watch.cancelled();
    let mut packer = Packer::new(&asked, &stop);
    let learn = |f: &FreePlate| packer.learn(f.group, asked.class[f.bench], f.places());
    let in_order: Vec<bool> = asked.free.iter().map(learn).collect();
    watch.progress(0.02, "filling beds");
    packer.fill_each(0, None);
    if task.rounds.is_some_and(|r| r > 0) || task.time.is_some_and(|t| t >= TIME_FOR_TIGHTER) {
        packer.fill_each(TIGHTER_ROUNDS, until(TIGHTER));
    }
    let mut board = Board::new(&asked);
    board.keep_whole(whole(&asked, &packer));
    if watch.cancelled() {
        return Err(DealError::Cancelled);
    }
    let (mut best, mut not_dealt) = best_first(&mut board, &mut packer);
    // What the places add to the times, by group.
    let (_, exact) = lay_out(&board, &mut packer, &best, &in_order);
    let factors = factors(&mut board, &best, &exact);
    board.set_factors(factors);
    not_dealt.extend(unlaid(&asked, &mut packer, &mut best));
    if watch.cancelled() {
        return Err(DealError::Cancelled);
    }
    let bound_s = finish_bound_s(&asked, &packer);
    let told = Told { watch, bound_s };
    let (_, cost) = board.judge(&best);
    told.improved(&cost, best.slots.len());
    let terms = Terms { seed: task.seed, rounds: task.rounds, until: until(SEARCHING), stable: !asked.free.is_empty() };
    best = search(&mut board, &mut packer, best, &terms, &told, &mut |cost, plates| told.improved(cost, plates));
    packer.never_stop();
    not_dealt.extend(unlaid(&asked, &mut packer, &mut best));
    best = best.compact(asked.stays.len());
    watch.progress(0.85, "placing copies");
    let (laid, exact) = lay_out(&board, &mut packer, &best, &in_order);
    let runs = board.runs_of(&best, &exact, &mut |slot, class| packer.holds(slot.group, &slot.laid(&asked), class));
    let (order, plan) = sequenced(&asked, &runs, &best.order, task, until(1.0), watch);
    // On a machine of another kind copies lie elsewhere.
    let moved = order.bench.iter().zip(&best.order.bench).any(|(a, b)| asked.bed_differs(*a, *b));
    best.order = order;
    let (laid, exact) = if moved { lay_out(&board, &mut packer, &best, &in_order) } else { (laid, exact) };
    let (runs, plan) = if moved {
        let runs = board.runs_of(&best, &exact, &mut |slot, class| packer.holds(slot.group, &slot.laid(&asked), class));
        let (order, plan) = by_beginning(&asked, &runs, &best.order);
        best.order = order;
        (runs, plan)
    } else {
        (runs, plan)
    };
    let mut done = dealt(&mut board, &best, &laid, &exact, &runs, &plan);
    done.not_dealt.clone_from(&asked.not_dealt);
    done.not_dealt.extend(not_dealt);
    done.bound_s = bound_s.min(done.cost.finish_s);
    done.cut_short = watch.cancelled();
    watch.progress(1.0, "dealt out");
    Ok(done)
}

/// Lines whose copies are to lie on one plate, and fit on one.
fn whole(asked: &Asked<'_>, packer: &Packer<'_>) -> Vec<usize> {
    let wished = |line: &super::line::Line| asked.job.part(line.part).is_some_and(|p| p.together);
    let fits = |n: usize| (0..asked.plain_kinds).any(|class| packer.most_of(n, class) >= asked.lines[n].count);
    let all = asked.lines.iter().enumerate();
    all.filter(|(n, line)| line.count > 1 && wished(line) && fits(*n)).map(|(n, _)| n).collect()
}

/// The best of some first dealings: of plates as full as they get, and of shorter ones.
fn best_first(board: &mut Board<'_>, packer: &mut Packer<'_>) -> (Dealing, Vec<super::NotDealt>) {
    let asked = board.asked;
    let all_s: f64 = asked.lines.iter().map(|l| f64::from(l.count) * l.time.own_s).sum();
    let two_carriages = (0..asked.job.machines.len()).filter(|&b| asked.two_carriages(b)).count();
    let fair_s = |twins: bool| {
        let carriages = asked.job.machines.len() + if twins { two_carriages } else { 0 };
        (all_s / carriages as f64).max(1.0)
    };
    let longest_s = asked.runs.attended.iter().map(|w| w.length_s()).max().unwrap_or(0) as f64;
    let mut best: Option<(super::DealCost, (Dealing, Vec<super::NotDealt>))> = None;
    let most = |twins| [f64::INFINITY, fair_s(twins), fair_s(twins) / 2.0, longest_s / 2.0, 86_400.0 - longest_s];
    let once_and_twice = [false, true].into_iter().filter(|&twins| !twins || two_carriages > 0);
    for (twins, most_s) in once_and_twice.flat_map(|twins| most(twins).map(|most_s| (twins, most_s))) {
        if most_s <= 0.0 {
            continue;
        }
        let made = first(board, packer, most_s, twins);
        let (_, cost) = board.judge(&made.0);
        let left = |made: &(Dealing, Vec<super::NotDealt>)| made.1.iter().map(|n| n.count).sum::<usize>();
        if best.as_ref().is_none_or(|(known, its)| (left(&made), cost) < (left(its), *known)) {
            best = Some((cost, made));
        }
    }
    best.map_or_else(|| first(board, packer, f64::INFINITY, false), |(_, made)| made)
}

/// Exact times over times from content, the mean of each group's plates.
fn factors(board: &mut Board<'_>, dealing: &Dealing, exact: &[Option<ContentTime>]) -> Vec<f64> {
    let mut sums = vec![(0.0, 0.0); board.asked.groups.len()];
    for (n, slot) in dealing.slots.iter().enumerate().skip(board.staying()) {
        let Some(Some(time)) = exact.get(n) else { continue };
        let around_s = board.asked.around_s(dealing.order.bench[n], slot.group);
        let by_content = board.content_time(slot.group, &slot.laid(board.asked)).time_s / ON_THE_SAFE_SIDE;
        sums[slot.group].0 += time.time_s - around_s;
        sums[slot.group].1 += by_content;
    }
    let factor = |(exact, content): &(f64, f64)| if *content > 0.0 { (exact / content).clamp(0.5, 2.0) } else { 1.0 };
    sums.iter().map(factor).collect()
}

/// Takes plates out of a dealing whose copies lie nowhere: plates that are there with copies in conflict, and more of them than fit.
fn unlaid(asked: &Asked<'_>, packer: &mut Packer<'_>, dealing: &mut Dealing) -> Vec<super::NotDealt> {
    let mut not_dealt = Vec::new();
    for n in asked.stays.len()..dealing.slots.len() {
        let bench = dealing.order.bench[n];
        let lies = |slot: &Slot, packer: &mut Packer<'_>| {
            asked.bed(bench, slot.twin).is_some_and(|class| packer.holds(slot.group, &slot.laid(asked), class))
        };
        if dealing.slots[n].content.is_empty() || lies(&dealing.slots[n], packer) {
            continue;
        }
        dealing.slots[n].twin = None;
        let (slot, class) = (dealing.slots[n].clone(), asked.class[bench]);
        if lies(&slot, packer) {
            continue;
        }
        // As many of each line as lie there, on as many plates as it takes.
        dealing.order.steps.retain(|&s| s != n);
        dealing.slots[n].content = super::content::Content::default();
        for (line, mut left) in slot.content.iter() {
            let most = packer.most_of(line, class);
            while left > 0 && most > 0 {
                let content = super::content::Content::of(line, left.min(most));
                left -= left.min(most);
                dealing.order.steps.push(dealing.slots.len());
                dealing.order.bench.push(dealing.order.bench[n]);
                dealing.slots.push(Slot::once(slot.group, content));
            }
            if left > 0 {
                let why = "found no room on the bed where it lies".into();
                not_dealt.push(super::NotDealt { part: asked.lines[line].part, count: left as usize, why });
            }
        }
    }
    not_dealt
}

/// The best sequence by exact times, as the docket can tell it.
fn sequenced(
    asked: &Asked<'_>,
    runs: &Runs,
    order: &Order,
    task: &DealTask,
    until: Option<Instant>,
    watch: &dyn Watch<DealStanding>,
) -> (Order, Plan) {
    let as_it_is = by_beginning(asked, runs, order);
    if task.rounds == Some(0) {
        return as_it_is;
    }
    let rounds = task.rounds.map(|r| r.min(SEQUENCE_ROUNDS));
    let better = improve(runs, as_it_is.0.clone(), task.seed, rounds, &Until { watch, until });
    let better = by_beginning(asked, runs, &better.0);
    if better.1.cost < as_it_is.1.cost { better } else { as_it_is }
}

/// Ends where another does, or at a time.
struct Until<'a> {
    watch: &'a dyn Watch<DealStanding>,
    until: Option<Instant>,
}

impl Watch<Plan> for Until<'_> {
    fn cancelled(&self) -> bool {
        self.watch.cancelled() || self.until.is_some_and(|u| Instant::now() >= u)
    }
    fn progress(&self, done: f64, _: &str) {
        self.watch.progress(0.9 + 0.1 * done.clamp(0.0, 1.0), "putting plates in sequence");
    }
}

/// Tells what the search finds.
struct Told<'a> {
    watch: &'a dyn Watch<DealStanding>,
    bound_s: i64,
}

impl Told<'_> {
    fn improved(&self, cost: &super::DealCost, plates: usize) {
        self.watch.improved(&DealStanding { plates, cost: *cost, bound_s: self.bound_s });
    }
}

impl Watch for Told<'_> {
    fn cancelled(&self) -> bool {
        self.watch.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        self.watch.progress(0.1 + 0.85 * done.clamp(0.0, 1.0), what);
    }
}
