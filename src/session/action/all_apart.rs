//! All conflicts of a plate cleared by small moves.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    document::CopyId,
    edit::{Command, Put},
    geom::Placement,
    plate::{Checker, Conflict, ConflictKind, nearest_free, push_aside},
    session::{Session, SessionError},
    watch::Quiet,
    work::Deadline,
};

/// How much longer than a single drop the whole plate may take.
const DROPS: u32 = 20;

impl Session {
    /// Moves the copies of the plate shown that are in conflict, one after the other and the one in most conflicts first, to
    /// the nearest place where they are in none; where there is none, others make room. Locked copies stay. One step back.
    pub(super) fn move_all_apart(&mut self, label: &str) -> Result<(), SessionError> {
        let job = self.shared_job();
        let Some(plate) = self.plate.and_then(|id| job.plate(id)) else { return Ok(()) };
        let may_move: BTreeSet<CopyId> = plate.copies.iter().filter(|c| !c.locked).map(|c| c.id).collect();
        let mut checker = Checker::new(&job, plate, self.shapes(), self.prepared());
        let watch = Deadline::new(&Quiet, Some(self.drop_time * DROPS));
        let mut moved: BTreeMap<CopyId, Placement> = BTreeMap::new();
        let mut stuck: BTreeSet<CopyId> = BTreeSet::new();
        // A copy may have to move again when another makes it: a bound, so that two cannot push each other for ever.
        for _ in 0..3 * plate.copies.len() {
            let Some(next) = worst(&checker.conflicts(), |id| may_move.contains(&id) && !stuck.contains(&id)) else {
                break;
            };
            let Some(at) = checker.placement(next) else { break };
            let laid = [(next, at)];
            let searching = Deadline::new(&Quiet, Some(self.drop_time));
            let found = nearest_free(&checker, &[], &laid, &searching, &watch).or_else(|| {
                let parting = Deadline::new(&Quiet, Some(self.drop_time));
                push_aside(&checker, &laid, |id| may_move.contains(&id), &parting, &watch)
            });
            match found {
                Some(places) => {
                    checker.set(&places);
                    moved.extend(places);
                }
                None => {
                    stuck.insert(next);
                }
            }
        }
        let left = checker.conflicts().iter().filter(|c| curable(c)).count();
        if moved.is_empty() {
            return Err(SessionError::Other(
                "no copy can be moved clear of the others here: pack this plate, or move some to another plate".into(),
            ));
        }
        let puts = plate.copies.iter().filter_map(|c| {
            let at = moved.get(&c.id)?;
            Some(Put { x_mm: at.x, y_mm: at.y, ..Put::as_it_lies(c, plate.id) })
        });
        let puts = puts.collect();
        self.change(label, &Command::put(puts))?;
        if left > 0 {
            let what = if left == 1 { "1 conflict is".to_owned() } else { format!("{left} conflicts are") };
            self.tell(format!("{what} left: there is no free place near. Pack this plate, or move copies to another"));
        }
        Ok(())
    }
}

/// Can a move cure it?
pub(super) fn curable(conflict: &Conflict) -> bool {
    use ConflictKind::{HalfTooSmall, MixedRecipe, TooLarge, TooTall};
    !matches!(conflict.kind, TooTall | TooLarge | HalfTooSmall | MixedRecipe)
}

/// The copy in most conflicts that a move can cure; of several the one that was placed last.
fn worst(conflicts: &[Conflict], may: impl Fn(CopyId) -> bool) -> Option<CopyId> {
    let mut counts: BTreeMap<CopyId, usize> = BTreeMap::new();
    for id in conflicts.iter().filter(|c| curable(c)).flat_map(|c| &c.copies).filter(|id| may(**id)) {
        *counts.entry(*id).or_default() += 1;
    }
    counts.into_iter().max_by_key(|(id, n)| (*n, *id)).map(|(id, _)| id)
}
