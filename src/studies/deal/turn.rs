//! A plate printed once becomes one printed twice at once, and back.

use super::{
    board::{Board, Slot},
    content::Content,
    new_plate::new_plate,
    now::{Changed, Now},
    packer::Packer,
};
use crate::{document::Twin, rng::Rng};

/// Turns a plate over. One that is to be printed twice keeps as many copies as half a bed takes of each line, and whole pairs: the rest go
/// to another plate. The other hands of what lies on it come from another plate where it has none.
pub(super) fn turn(board: &Board<'_>, packer: &Packer<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let asked = board.asked;
    let p = now.pick(dice)?;
    let mut dealing = now.dealing.clone();
    if dealing.slots[p].twin.is_some() {
        dealing.slots[p].twin = None;
        return Some(Changed { dealing, check: vec![p] });
    }
    let mirrored = dealing.slots[p].content.iter().any(|(line, _)| asked.lines[line].mirrored.is_some());
    let twin = if mirrored && dice.below(2) == 0 { Twin::Handed } else { Twin::Shifted };
    if asked.bed(dealing.order.bench[p], Some(twin)).is_none() || dice.below(4) == 0 {
        let those: Vec<usize> = (0..asked.class.len()).filter(|&b| asked.bed(b, Some(twin)).is_some()).collect();
        dealing.order.bench[p] = *those.get(dice.below(those.len().max(1)))?;
    }
    let class = asked.bed(dealing.order.bench[p], Some(twin))?;
    if twin == Twin::Handed {
        bring_hands(board, now, &mut dealing.slots, p);
        let gone = |n: &usize| dealing.slots[*n].content.is_empty();
        dealing.order.steps.retain(|n| *n < board.staying() || !gone(n));
    }
    let Slot { group, content, .. } = dealing.slots[p].clone();
    // Several lines share the half: as a rule half of each, where it does not hold all.
    let half = content.lines() > 1 && dice.below(2) == 0;
    let mut stays = Content::default();
    for (line, n) in content.iter() {
        if twin == Twin::Handed && asked.lines[line].mirrored.is_none() {
            continue;
        }
        let wished = if half { n.div_ceil(2) } else { n };
        match asked.partner(Some(twin), line) {
            Some(other) if other > line => {
                let kept = wished.min(content.get(other)).min(packer.most_of(line, class));
                stays.add(line, kept);
                stays.add(other, kept);
            }
            Some(_) => {}
            None => {
                let kept = wished.min(2 * packer.most_of(line, class));
                stays.add(line, kept - kept % 2);
            }
        }
    }
    if stays.is_empty() {
        return None;
    }
    let mut gone = content;
    stays.iter().for_each(|(line, n)| gone.take(line, n));
    dealing.slots[p] = Slot { group, content: stays, twin: Some(twin) };
    let mut check = vec![p];
    if !gone.is_empty() {
        // Where the numbers allow, the rest is printed twice too.
        let twin = Some(twin).filter(|_| asked.comes_off(Some(twin), &gone));
        let mate = if dice.below(2) == 0 { now.mate(p, dice) } else { None };
        let mate = mate.filter(|&q| !dealing.slots[q].content.is_empty());
        check.push(match mate {
            Some(q) => {
                dealing.slots[q].content = dealing.slots[q].content.with(&gone);
                q
            }
            None => new_plate(board, &mut dealing, Slot { group, content: gone, twin }, Some(p), dice)?,
        });
    }
    Some(Changed { dealing, check })
}

/// Brings the other hands of a plate's copies from other plates, as many as it lacks.
fn bring_hands(board: &Board<'_>, now: &Now<'_>, slots: &mut [Slot], p: usize) {
    let content = slots[p].content.clone();
    for (line, n) in content.iter() {
        let Some(other) = board.asked.partner(Some(Twin::Handed), line) else { continue };
        let mut lacks = n.saturating_sub(content.get(other));
        for &q in now.free.iter().filter(|&&q| q != p) {
            let some = lacks.min(slots[q].content.get(other));
            slots[q].content.take(other, some);
            slots[p].content.add(other, some);
            lacks -= some;
        }
    }
}
