//! Copies moved to another plate, to a free place there.

use std::collections::BTreeMap;

use crate::{
    document::{CopyId, Job, PartId, PlateId},
    edit::{Command, PlateSetup, PlateTarget, Put, apply},
    geom::Placement,
    plate::{Checker, nearest_free},
    session::{Session, SessionError, action::all_apart::curable},
    watch::Quiet,
    work::Deadline,
};

impl Session {
    /// Moves copies to a plate, or each kind of them to a new one. On a plate that is there they lie where they lay if that is
    /// free, else at the nearest free place, together where that is possible; where there is no room they lie where they lay and
    /// that is told.
    pub(super) fn move_to_plate(
        &mut self,
        label: &str,
        copies: &[CopyId],
        target: Option<PlateId>,
    ) -> Result<(), SessionError> {
        let job = self.shared_job();
        let mut puts = Vec::new();
        let mut kinds: Vec<PlateSetup> = Vec::new();
        for id in copies {
            let Some((plate, c)) = job.copy(*id).filter(|(p, _)| Some(p.id) != target) else { continue };
            let Some(part) = job.part(c.part) else { continue };
            let to = if let Some(t) = target {
                PlateTarget::Existing(t)
            } else {
                let setup = PlateSetup { twin: plate.twin, ..PlateSetup::for_part(part, plate.machine) };
                let n = kinds.iter().position(|k| *k == setup).unwrap_or_else(|| {
                    kinds.push(setup.clone());
                    kinds.len() - 1
                });
                PlateTarget::New(n, setup)
            };
            puts.push(Put { plate: to, ..Put::as_it_lies(c, plate.id) });
        }
        if puts.is_empty() {
            return Err(SessionError::Other("these copies lie on that plate already".into()));
        }
        let (puts, free) = match target {
            Some(plate) => self.settled(&job, plate, puts)?,
            None => (puts, true),
        };
        let out = self.put_new(label, puts)?;
        self.plate = target.or_else(|| out.plates.first().copied()).or(self.plate);
        self.selection = copies.iter().copied().collect();
        if !free {
            let number = self.plate.and_then(|p| self.job().plate_number(p)).unwrap_or(0);
            self.tell(format!(
                "plate {number} has no free place for all of it: pack that plate, or take something off it"
            ));
        }
        Ok(())
    }

    /// The puts at free places of a plate, and whether all are.
    fn settled(&self, job: &Job, plate: PlateId, puts: Vec<Put>) -> Result<(Vec<Put>, bool), SessionError> {
        let there = |puts: &[Put]| Command::put(puts.to_vec());
        let (with, _) = apply(job, &there(&puts))?;
        let Some(full) = with.plate(plate) else { return Ok((puts, true)) };
        let checker = Checker::new(&with, full, self.shapes(), self.prepared());
        let laid: Vec<(CopyId, Placement)> =
            puts.iter().filter_map(|p| Some((p.copy?, checker.placement(p.copy?)?))).collect();
        if !checker.conflicts_of(&laid).iter().any(curable) {
            return Ok((puts, true));
        }
        let at = |puts: Vec<Put>, places: &BTreeMap<CopyId, Placement>| -> Vec<Put> {
            let moved = |p: Put| match p.copy.and_then(|id| places.get(&id)) {
                Some(to) => Put { x_mm: to.x, y_mm: to.y, ..p },
                None => p,
            };
            puts.into_iter().map(moved).collect()
        };
        let searching = Deadline::new(&Quiet, Some(self.drop_time / 2));
        let watch = Deadline::new(&Quiet, Some(self.drop_time));
        if let Some(places) = nearest_free(&checker, &[], &laid, &searching, &watch) {
            return Ok((at(puts, &places.into_iter().collect()), true));
        }
        // Not together, then each for itself, wherever the plate has room.
        let mut counts: BTreeMap<PartId, usize> = BTreeMap::new();
        for p in &puts {
            *counts.entry(p.part).or_default() += 1;
        }
        let mut room = self.find_room(plate, &counts).unwrap_or_default();
        let free = room.len() == puts.len();
        let moved = |p: Put| match room.iter().position(|r| r.part == p.part) {
            Some(i) => {
                let to = room.swap_remove(i);
                Put { x_mm: to.x_mm, y_mm: to.y_mm, turn_deg: to.turn_deg, ..p }
            }
            None => p,
        };
        Ok((puts.into_iter().map(moved).collect(), free))
    }
}
