//! What every changed dealing keeps to on machines with two carriages.

use super::{board::Board, now::Changed};

/// Plates on a machine with one carriage, and those of which an odd number of some part is to come off, are printed once. `None` where the
/// copies of the job would not all lie somewhere: a plate printed twice at once takes half of them.
pub(super) fn settle(board: &Board<'_>, mut changed: Changed) -> Option<Changed> {
    let asked = board.asked;
    if !asked.has_twins() {
        return Some(changed);
    }
    let mut laid = vec![0; asked.lines.len()];
    for n in board.staying()..changed.dealing.slots.len() {
        let bench = changed.dealing.order.bench[n];
        let slot = &mut changed.dealing.slots[n];
        if slot.twin && !(slot.content.is_even() && asked.bed(bench, true).is_some()) {
            slot.twin = false;
            if !slot.content.is_empty() && !changed.check.contains(&n) {
                changed.check.push(n);
            }
        }
        for (line, count) in slot.laid().iter() {
            laid[line] += count;
        }
    }
    let all_lie = laid.iter().zip(&asked.there).all(|(laid, there)| laid >= there);
    all_lie.then_some(changed)
}
