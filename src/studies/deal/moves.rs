//! Small changes of a dealing.

use super::{
    board::{Board, Dealing, Slot},
    content::Content,
    first::within,
    new_plate::{any_bench, new_plate, put_in},
    now::{Changed, Now},
    packer::Packer,
    settle::settle,
    turn::turn,
};
use crate::rng::Rng;

/// Of so many changes one turns a plate into one printed twice at once, or back, where a machine has two carriages.
const TURNS: usize = 6;
/// A plate that is cut short keeps at least this share of its time.
const LEAST_SHARE: f64 = 0.15;

/// One change at random; `None` where it comes to nothing.
pub(super) fn change(board: &mut Board<'_>, packer: &Packer<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let turns = board.asked.has_twins() && dice.below(TURNS) == 0;
    let changed = if turns {
        turn(board, packer, now, dice)
    } else {
        match dice.below(100) {
            0..25 => move_plate(board, now, dice),
            25..37 => swap(board, now, dice),
            37..52 => cut_short(board, now, dice),
            52..68 => fill_the_wait(board, now, dice),
            68..80 => transfer(board, now, dice),
            80..86 => exchange(board, now, dice),
            86..93 => split(board, now, dice),
            _ => merge(now, dice),
        }
    }?;
    let changed = settle(board, changed)?;
    let may = |n: &usize| {
        let slot = &changed.dealing.slots[*n];
        let class = board.asked.bed(changed.dealing.order.bench[*n], slot.twin);
        class.is_some_and(|class| packer.may_hold(slot.group, &slot.laid(board.asked), class))
    };
    if changed.check.iter().all(may) { Some(changed) } else { None }
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
    let once = [p, q].iter().all(|&n| dealing.slots[n].twin.is_none());
    let check = if once && class(p) == class(q) { Vec::new() } else { vec![p, q] };
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
        let partner = board.asked.partner(slot.twin, line);
        if let Some(other) = partner {
            without.take(other, n);
        }
        let keeps = come_off_within(board, &Slot { content: without.clone(), ..slot }, line, n, most_s);
        stays = without;
        for its in partner.into_iter().chain([line]) {
            stays.add(its, keeps);
            gone.add(its, n - keeps);
        }
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
        None => new_plate(board, &mut dealing, Slot { content: gone, ..slot }, Some(p), dice)?,
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
    let n = come_off_within(board, &dealing.slots[p], line, there, most_s);
    if n == 0 {
        return None;
    }
    // Not always all that would fit in time: the bed may be too small.
    let n = if dice.below(3) == 0 { 1 + dice.below(n as usize) as u32 } else { n };
    let n = whole_pairs(board, line, n, there, &[&dealing.slots[p], &dealing.slots[q]]);
    shift(board, &mut dealing, q, p, line, n);
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
    let n = whole_pairs(board, line, n, there, &[&dealing.slots[p], &dealing.slots[q]]);
    let class = board.asked.class[dealing.order.bench[q]];
    if board.asked.lines[line].takes.get(class) != Some(&true) {
        return None;
    }
    shift(board, &mut dealing, p, q, line, n);
    Some(Changed { dealing, check: vec![q] })
}

/// Copies of one line for copies of another: as many seconds of each, more or less.
fn exchange(board: &Board<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let p = now.pick(dice)?;
    let q = now.mate(p, dice)?;
    let mut dealing = now.dealing.clone();
    let (a, there_a) = dealing.slots[p].content.nth(dice.below(dealing.slots[p].content.lines()))?;
    let (b, there_b) = dealing.slots[q].content.nth(dice.below(dealing.slots[q].content.lines()))?;
    if a == b {
        return None;
    }
    let (n, m) = (1 + dice.below(there_a as usize) as u32, 1 + dice.below(there_b as usize) as u32);
    let both = [&dealing.slots[p], &dealing.slots[q]];
    let (n, m) = (whole_pairs(board, a, n, there_a, &both), whole_pairs(board, b, m, there_b, &both));
    shift(board, &mut dealing, p, q, a, n);
    shift(board, &mut dealing, q, p, b, m);
    // A plate that was empty in between is so no longer.
    let steps = &mut dealing.order.steps;
    for (n, other) in [(p, q), (q, p)] {
        if !dealing.slots[n].content.is_empty() && !steps.contains(&n) {
            let at = steps.iter().position(|&s| s == other).unwrap_or(steps.len());
            steps.insert(at, n);
        }
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
        let some = some - some % board.asked.per_copy(slot.twin, line);
        match board.asked.partner(slot.twin, line) {
            Some(other) if other < line => gone.add(line, gone.get(other)),
            _ => gone.add(line, some),
        }
    }
    if gone.is_empty() || gone == slot.content {
        return None;
    }
    for (line, n) in gone.iter() {
        dealing.slots[p].content.take(line, n);
    }
    let to = new_plate(board, &mut dealing, Slot { content: gone, ..slot }, Some(p), dice)?;
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

/// Moves copies from one plate to another, with their other hands where one of the plates is printed so; a plate that is empty then goes.
fn shift(board: &Board<'_>, dealing: &mut Dealing, from: usize, to: usize, line: usize, n: u32) {
    let partner = [from, to].iter().find_map(|&s| board.asked.partner(dealing.slots[s].twin, line));
    for its in partner.into_iter().chain([line]) {
        let n = n.min(dealing.slots[from].content.get(its));
        dealing.slots[from].content.take(its, n);
        dealing.slots[to].content.add(its, n);
    }
    if dealing.slots[from].content.is_empty() {
        dealing.order.steps.retain(|&s| s != from);
    }
}

/// How many more copies of a line, at most `most`, come off a plate that takes no longer than `most_s`.
fn come_off_within(board: &mut Board<'_>, slot: &Slot, line: usize, most: u32, most_s: f64) -> u32 {
    let asked = board.asked;
    let (per_copy, partner) = (asked.per_copy(slot.twin, line), asked.partner(slot.twin, line));
    let laid = partner.map_or(line, |other| line.min(other));
    per_copy * within(board, slot.group, &slot.laid(asked), laid, most / per_copy, most_s)
}

/// `n` of `there` copies, an even number where two come off one of the plates for each that is laid.
fn whole_pairs(board: &Board<'_>, line: usize, n: u32, there: u32, plates: &[&Slot]) -> u32 {
    if n.is_multiple_of(2) || plates.iter().all(|slot| board.asked.per_copy(slot.twin, line) == 1) {
        n
    } else if n < there {
        n + 1
    } else {
        n - 1
    }
}
