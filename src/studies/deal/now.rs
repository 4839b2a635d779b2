//! What a change of a dealing starts from, and what it comes to.

use super::board::{Board, Dealing};
use crate::{batch::sequence::Plan, rng::Rng};

/// Parts that wait longer than this on a machine ended when nobody was there, s.
const WAITS_S: i64 = 900;

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

    /// A plate that may be changed, at random.
    pub(super) fn pick(&self, dice: &mut Rng) -> Option<usize> {
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

    /// One whose parts wait on the machine.
    pub(super) fn waiting(&self, dice: &mut Rng) -> Option<usize> {
        let those: Vec<usize> = self.free.iter().copied().filter(|&n| self.waits_s[n] > WAITS_S).collect();
        if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
    }

    /// Another plate of the same group.
    pub(super) fn mate(&self, of: usize, dice: &mut Rng) -> Option<usize> {
        let group = self.dealing.slots[of].group;
        let those: Vec<usize> =
            self.free.iter().copied().filter(|&n| n != of && self.dealing.slots[n].group == group).collect();
        if those.is_empty() { None } else { Some(those[dice.below(those.len())]) }
    }
}
