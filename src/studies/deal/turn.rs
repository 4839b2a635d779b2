//! A plate printed once becomes one printed twice at once, and back.

use super::{
    board::{Board, Slot},
    content::Content,
    new_plate::new_plate,
    now::{Changed, Now},
    packer::Packer,
};
use crate::rng::Rng;

/// Turns a plate over. One that is to be printed twice keeps as many copies as half a bed takes of each line, and whole pairs: the rest go
/// to another plate.
pub(super) fn turn(board: &Board<'_>, packer: &Packer<'_>, now: &Now<'_>, dice: &mut Rng) -> Option<Changed> {
    let asked = board.asked;
    let p = now.pick(dice)?;
    let mut dealing = now.dealing.clone();
    if dealing.slots[p].twin {
        dealing.slots[p].twin = false;
        return Some(Changed { dealing, check: vec![p] });
    }
    if asked.bed(dealing.order.bench[p], true).is_none() || dice.below(4) == 0 {
        let those: Vec<usize> = (0..asked.class.len()).filter(|&b| asked.bed(b, true).is_some()).collect();
        dealing.order.bench[p] = those[dice.below(those.len())];
    }
    let class = asked.bed(dealing.order.bench[p], true)?;
    let Slot { group, content, .. } = dealing.slots[p].clone();
    // Several lines share the half: as a rule half of each, where it does not hold all.
    let half = content.lines() > 1 && dice.below(2) == 0;
    let mut stays = Content::default();
    for (line, n) in content.iter() {
        let most = 2 * packer.most_of(line, class);
        let wished = if half { n.div_ceil(2) } else { n };
        let kept = wished.min(most);
        stays.add(line, kept - kept % 2);
    }
    if stays.is_empty() {
        return None;
    }
    let mut gone = content;
    stays.iter().for_each(|(line, n)| gone.take(line, n));
    dealing.slots[p] = Slot { group, content: stays, twin: true };
    let mut check = vec![p];
    if !gone.is_empty() {
        // Where the numbers allow, the rest is printed twice too.
        let twin = gone.is_even();
        let mate = if dice.below(2) == 0 { now.mate(p, dice) } else { None };
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
