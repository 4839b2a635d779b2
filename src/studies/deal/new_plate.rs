//! Plates put on machines and in the order at random.

use super::board::{Board, Dealing, Slot};
use crate::rng::Rng;

/// A machine that takes what lies on a plate, at random.
pub(super) fn any_bench(board: &Board<'_>, slot: &Slot, dice: &mut Rng) -> Option<usize> {
    let takes = |b: &usize| {
        let class = board.asked.class[*b];
        slot.content.iter().all(|(line, _)| board.asked.lines[line].takes.get(class) == Some(&true))
    };
    let those: Vec<usize> = (0..board.asked.class.len()).filter(takes).collect();
    if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
}

/// Puts a plate somewhere in the order.
pub(super) fn put_in(steps: &mut Vec<usize>, n: usize, dice: &mut Rng) {
    let at = dice.below(steps.len() + 1);
    steps.insert(at, n);
}

/// A new plate, soon after another or anywhere, on a machine that takes it. Its number.
pub(super) fn new_plate(
    board: &Board<'_>,
    dealing: &mut Dealing,
    slot: Slot,
    after: Option<usize>,
    dice: &mut Rng,
) -> Option<usize> {
    let bench = any_bench(board, &slot, dice)?;
    let free = (board.staying()..dealing.slots.len()).find(|&n| dealing.slots[n].content.is_empty());
    let n = if let Some(n) = free {
        (dealing.slots[n], dealing.order.bench[n]) = (slot, bench);
        n
    } else {
        dealing.slots.push(slot);
        dealing.order.bench.push(bench);
        dealing.slots.len() - 1
    };
    let at = after.and_then(|p| dealing.order.steps.iter().position(|&s| s == p));
    match at.filter(|_| dice.below(2) == 0) {
        Some(at) => dealing.order.steps.insert(at + 1, n),
        None => put_in(&mut dealing.order.steps, n, dice),
    }
    Some(n)
}
