//! Small changes of a dealing.

use super::{
    board::{Board, Dealing, Slot},
    content::Content,
    first::within,
    packer::Packer,
};
use crate::{batch::sequence::Plan, rng::Rng};

/// Parts that wait longer than this on a machine ended when nobody was there, s.
const WAITS_S: i64 = 900;
/// A plate that is cut short keeps at least this share of its time.
const LEAST_SHARE: f64 = 0.15;

/// A changed dealing, and the plates of it that hold more than before or lie on another kind of bed.
pub(super) struct Changed {
    pub(super) dealing: Dealing,
    pub(super) check: Vec<usize>,
}

/// What a change starts from.
pub(super) struct Now<'a> {
    pub(super) dealing: &'a Dealing,
    pub(super) plan: &'a Plan,
    /// Plates that may be changed.
    pub(super) free: Vec<usize>,
    /// For each plate how long its parts wait on the machine, s.
    pub(super) waits_s: Vec<i64>,
    /// For each machine the end of its last print, s.
    pub(super) ends_s: Vec<i64>,
}

impl<'a> Now<'a> {
    pub(super) fn new(board: &Board<'_>, dealing: &'a Dealing, plan: &'a Plan) -> Self {
        let free = (board.staying()..dealing.slots.len()).filter(|&n| !dealing.slots[n].content.is_empty()).collect();
        let mut waits_s = vec![0; dealing.slots.len()];
        let mut ends_s = vec![0; board.asked.runs.benches.len()];
        for t in &plan.timed {
            if let (Some(wait), Some(removal)) = (waits_s.get_mut(t.run), t.removal) {
                *wait = removal.from_s - t.cool_s;
            }
            ends_s[t.bench] = ends_s[t.bench].max(t.print.to_s);
        }
        Self { dealing, plan, free, waits_s, ends_s }
    }

    fn pick(&self, dice: &mut Rng) -> Option<usize> {
        if self.free.is_empty() {
            return None;
        }
        // Often one of the machine that ends last.
        if dice.below(5) < 2 {
            let last = (0..self.ends_s.len()).max_by_key(|&b| self.ends_s[b])?;
            let there: Vec<usize> =
                self.free.iter().copied().filter(|&n| self.dealing.order.bench[n] == last).collect();
            if !there.is_empty() {
                return Some(there[dice.below(there.len())]);
            }
        }
        Some(self.free[dice.below(self.free.len())])
    }

    fn waiting(&self, dice: &mut Rng) -> Option<usize> {
        let those: Vec<usize> = self.free.iter().copied().filter(|&n| self.waits_s[n] > WAITS_S).collect();
        if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
    }

    /// Another plate of the same group.
    fn mate(&self, of: usize, dice: &mut Rng) -> Option<usize> {
        let group = self.dealing.slots[of].group;
        let those: Vec<usize> =
            self.free.iter().copied().filter(|&n| n != of && self.dealing.slots[n].group == group).collect();
        if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
    }
}

/// One change at random; `None` where it comes to nothing.
pub(super) fn change(board: &mut Board<'_>, packer: &Packer<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let changed = match dice.below(100) {
        0..25 => move_plate(board, now, dice),
        25..37 => swap(board, now, dice),
        37..52 => cut_short(board, now, dice),
        52..68 => fill_the_wait(board, now, dice),
        68..80 => transfer(board, now, dice),
        80..86 => exchange(now, dice),
        86..93 => split(board, now, dice),
        _ => merge(now, dice),
    }?;
    let may = |n: &usize| {
        let slot = &changed.dealing.slots[*n];
        let class = board.asked.class[changed.dealing.order.bench[*n]];
        packer.may_hold(slot.group, &slot.content, class)
    };
    if changed.check.iter().all(may) { Some(changed) } else { None }
}

/// A machine that takes what lies on a plate, at random.
fn any_bench(board: &Board<'_>, slot: &Slot, dice: &mut Rng) -> Option<usize> {
    let takes = |b: &usize| {
        let class = board.asked.class[*b];
        slot.content.iter().all(|(line, _)| board.asked.lines[line].takes.get(class) == Some(&true))
    };
    let those: Vec<usize> = (0..board.asked.class.len()).filter(takes).collect();
    if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
}

fn put_in(steps: &mut Vec<usize>, n: usize, dice: &mut Rng) {
    let at = dice.below(steps.len() + 1);
    steps.insert(at, n);
}

fn move_plate(board: &Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let mut dealing = now.dealing.clone();
    let from = dealing.order.steps.iter().position(|&n| n == p)?;
    dealing.order.steps.remove(from);
    if dice.below(2) == 0 {
        // Not far: beside its neighbours.
        let far = 1 + dice.below(8);
        let at = if dice.below(2) == 0 { from.saturating_sub(far) } else { from + far };
        dealing.order.steps.insert(at.min(dealing.order.steps.len()), p);
    } else {
        put_in(&mut dealing.order.steps, p, dice);
    }
    let mut check = Vec::new();
    if dice.below(3) > 0 {
        dealing.order.bench[p] = any_bench(board, &dealing.slots[p], dice)?;
        check.push(p);
    }
    Some(Changed { dealing, check })
}

fn swap(board: &Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let (p, q) = (now.pick(dice)?, now.free[dice.below(now.free.len())]);
    if p == q {
        return None;
    }
    let mut dealing = now.dealing.clone();
    let steps = &mut dealing.order.steps;
    let (a, b) = (steps.iter().position(|&n| n == p)?, steps.iter().position(|&n| n == q)?);
    steps.swap(a, b);
    dealing.order.bench.swap(p, q);
    let class = |n: usize| board.asked.class[dealing.order.bench[n]];
    let check = if class(p) == class(q) { Vec::new() } else { vec![p, q] };
    for n in [p, q] {
        if !dealing.slots[n].content.iter().all(|(l, _)| board.asked.lines[l].takes.get(class(n)) == Some(&true)) {
            return None;
        }
    }
    Some(Changed { dealing, check })
}

/// A plate made short enough to be taken off by the people who are there before its end.
fn cut_short(board: &mut Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.waiting(dice)?;
    let timed = now.plan.timed.iter().find(|t| t.run == p)?;
    let attended = &board.asked.runs.attended;
    let before = attended.partition_point(|w| w.to_s <= timed.cool_s).checked_sub(1)?;
    let work = board.asked.runs.work;
    let spare_s = if dice.below(2) == 0 { work.preparing_s + work.removal_s } else { work.removal_s };
    let end_s = attended[before].to_s - spare_s - (timed.cool_s - timed.print.to_s);
    let most_s = (end_s - timed.print.from_s) as f64;
    if most_s < LEAST_SHARE * timed.print.length_s() as f64 {
        return None;
    }
    let mut dealing = now.dealing.clone();
    let slot = dealing.slots[p].clone();
    let most_s = most_s - board.asked.around_s(timed.bench, slot.group);
    let mut gone = Content::default();
    let mut stays = slot.content.clone();
    while !stays.is_empty() {
        let (line, n) = stays.nth(dice.below(stays.lines()))?;
        let mut without = stays.clone();
        without.take(line, n);
        let keeps = within(board, slot.group, &without, line, n, most_s);
        stays = without;
        stays.add(line, keeps);
        gone.add(line, n - keeps);
        if keeps > 0 {
            break;
        }
    }
    if stays.is_empty() || gone.is_empty() {
        return None;
    }
    dealing.slots[p].content = stays;
    let to = if dice.below(2) == 0 { now.mate(p, dice) } else { None };
    let to = match to {
        Some(q) => {
            dealing.slots[q].content = dealing.slots[q].content.with(&gone);
            q
        }
        None => new_plate(board, &mut dealing, Slot { group: slot.group, content: gone }, Some(p), dice)?,
    };
    Some(Changed { dealing, check: vec![p, to] })
}

/// A plate made longer by as much as its parts would wait for somebody.
fn fill_the_wait(board: &mut Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.waiting(dice)?;
    let q = now.mate(p, dice)?;
    let timed = now.plan.timed.iter().find(|t| t.run == p)?;
    let mut dealing = now.dealing.clone();
    let group = dealing.slots[p].group;
    let (line, there) = dealing.slots[q].content.nth(dice.below(dealing.slots[q].content.lines()))?;
    let most_s = (timed.print.length_s() + now.waits_s[p]) as f64 - board.asked.around_s(timed.bench, group);
    let n = within(board, group, &dealing.slots[p].content, line, there, most_s);
    if n == 0 {
        return None;
    }
    // Not always all that would fit in time: the bed may be too small.
    let n = if dice.below(3) == 0 { 1 + dice.below(n as usize) as u32 } else { n };
    shift(&mut dealing, q, p, line, n);
    Some(Changed { dealing, check: vec![p] })
}

fn transfer(board: &Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let mut dealing = now.dealing.clone();
    let (line, there) = dealing.slots[p].content.nth(dice.below(dealing.slots[p].content.lines()))?;
    let n = match dice.below(3) {
        0 => 1,
        1 => there.div_ceil(2),
        _ => 1 + dice.below(there as usize) as u32,
    };
    let q = now.mate(p, dice)?;
    let class = board.asked.class[dealing.order.bench[q]];
    if board.asked.lines[line].takes.get(class) != Some(&true) {
        return None;
    }
    shift(&mut dealing, p, q, line, n);
    Some(Changed { dealing, check: vec![q] })
}

/// Copies of one line for copies of another: as many seconds of each, more or less.
fn exchange(now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let q = now.mate(p, dice)?;
    let mut dealing = now.dealing.clone();
    let (a, there_a) = dealing.slots[p].content.nth(dice.below(dealing.slots[p].content.lines()))?;
    let (b, there_b) = dealing.slots[q].content.nth(dice.below(dealing.slots[q].content.lines()))?;
    if a == b {
        return None;
    }
    let (n, m) = (1 + dice.below(there_a as usize) as u32, 1 + dice.below(there_b as usize) as u32);
    // Neither is empty afterwards.
    for (from, to, line, n) in [(p, q, a, n), (q, p, b, m)] {
        dealing.slots[from].content.take(line, n);
        dealing.slots[to].content.add(line, n);
    }
    Some(Changed { dealing, check: vec![p, q] })
}

fn split(board: &Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let mut dealing = now.dealing.clone();
    let slot = dealing.slots[p].clone();
    if slot.content.count() < 2 {
        return None;
    }
    let mut gone = Content::default();
    for (line, n) in slot.content.iter() {
        let some = match dice.below(3) {
            0 => n / 2,
            1 => dice.below(n as usize + 1) as u32,
            _ => n.div_ceil(2),
        };
        gone.add(line, some);
    }
    if gone.is_empty() || gone == slot.content {
        return None;
    }
    for (line, n) in gone.iter() {
        dealing.slots[p].content.take(line, n);
    }
    let to = new_plate(board, &mut dealing, Slot { group: slot.group, content: gone }, Some(p), dice)?;
    Some(Changed { dealing, check: vec![p, to] })
}

fn merge(now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let q = now.mate(p, dice)?;
    let mut dealing = now.dealing.clone();
    dealing.slots[q].content = dealing.slots[q].content.with(&now.dealing.slots[p].content);
    dealing.slots[p].content = Content::default();
    dealing.order.steps.retain(|&n| n != p);
    Some(Changed { dealing, check: vec![q] })
}

/// Moves copies from one plate to another; a plate that is empty then goes.
fn shift(dealing: &mut Dealing, from: usize, to: usize, line: usize, n: u32) {
    dealing.slots[from].content.take(line, n);
    dealing.slots[to].content.add(line, n);
    if dealing.slots[from].content.is_empty() {
        dealing.order.steps.retain(|&s| s != from);
    }
}

/// A new plate, soon after another or anywhere, on a machine that takes it. Its number.
fn new_plate(
    board: &Board<'_>,
    dealing: &mut Dealing,
    slot: Slot,
    after: Option<usize>,
    dice: &mut Rng,
) -> Option<usize> {
    let bench = any_bench(board, &slot, dice)?;
    let free = (board.staying()..dealing.slots.len()).find(|&n| dealing.slots[n].content.is_empty());
    let n = match free {
        Some(n) => {
            (dealing.slots[n], dealing.order.bench[n]) = (slot, bench);
            n
        }
        None => {
            dealing.slots.push(slot);
            dealing.order.bench.push(bench);
            dealing.slots.len() - 1
        }
    };
    let at = after.and_then(|p| dealing.order.steps.iter().position(|&s| s == p));
    match at.filter(|_| dice.below(2) == 0) {
        Some(at) => dealing.order.steps.insert(at + 1, n),
        None => put_in(&mut dealing.order.steps, n, dice),
    }
    Some(n)
}
