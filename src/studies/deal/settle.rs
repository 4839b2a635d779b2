//! What every changed dealing keeps to on machines with two carriages.

use super::{board::Board, now::Changed};

/// Plates on a machine with one carriage, and those whose copies cannot come off so, are printed once. `None` where the copies of the job would
/// not all lie somewhere: a plate printed twice at once takes half of them.
pub(super) fn settle(board: &Board<'_>, mut changed: Changed) -> Option<Changed> {
    let asked = board.asked;
    if !asked.has_twins() {
        return Some(changed);
    }
    let (mut laid, mut all) = (vec![0; asked.lines.len()], vec![0; asked.lines.len()]);
    for n in board.staying()..changed.dealing.slots.len() {
        let bench = changed.dealing.order.bench[n];
        let slot = &mut changed.dealing.slots[n];
        let may_be = asked.comes_off(slot.twin, &slot.content) && asked.bed(bench, slot.twin).is_some();
        if slot.twin.is_some() && !may_be {
            slot.twin = None;
            if !slot.content.is_empty() && !changed.check.contains(&n) {
                changed.check.push(n);
            }
        }
        slot.laid(asked).iter().for_each(|(line, count)| laid[line] += count);
        slot.content.iter().for_each(|(line, count)| all[line] += count);
    }
    // Copies of the job that found no room are not among all.
    let lie = |line: usize| laid[line] >= asked.there[line].min(all[line]);
    (0..laid.len()).all(lie).then_some(changed)
}
