//! What a row of a study becomes in the job.

use std::collections::BTreeMap;

use crate::{
    document::{CopyId, Footing, Job, MachineId, Part, PartId, Twin},
    edit::{Command, Outcome, PlateSetup, PlateTarget, Put, apply},
    plate::PlacedCopy,
    session::{Session, SessionError},
    studies::{CopiesWay, LaidCopy},
};

impl Session {
    /// Gives a part a footing, and all its copies with it, whatever they stood on; one step back.
    pub(in crate::session) fn use_footing(
        &mut self,
        label: &str,
        part: PartId,
        footing: Footing,
    ) -> Result<(), SessionError> {
        let with = with_footing(&self.shared_job(), part, footing)?;
        self.change_to(label, with);
        Ok(())
    }

    /// Lays the n-th row of the latest study of footings out on a new plate, on its footing; one step back.
    pub(in crate::session) fn lay_out_studied(&mut self, label: &str, row: usize) -> Result<(), SessionError> {
        let gone = || SessionError::Other("this row is not there any more: run the study again".into());
        let run = self.footings_studied().ok_or_else(gone)?;
        if self.footings_are_stale() {
            return Err(SessionError::Other("the job has changed since: run the study again".into()));
        }
        let (study, row) = (&run.study, run.rows.get(row).ok_or_else(gone)?);
        let job = self.shared_job();
        let part = job.part(study.part).ok_or_else(gone)?;
        if row.layout.is_empty() {
            return Err(SessionError::Other(format!("no copy fits with {}", row.footing.words())));
        }
        let (mut with, out) = on_a_new_plate(&job, part, (study.machine, None), &row.layout)?;
        if part.footing != row.footing {
            with = apply(&with, &Command::SetFooting { copies: out.copies, footing: Some(row.footing) })?.0;
        }
        let plate = out.plates.first().copied();
        self.change_to(label, with);
        self.plate = plate.or(self.plate);
        self.selection.clear();
        Ok(())
    }

    /// Lays the n-th row of the latest study of how many copies out on a new plate; one step back.
    pub(in crate::session) fn lay_out_copies(&mut self, label: &str, row: usize) -> Result<(), SessionError> {
        let gone = || SessionError::Other("this row is not there any more: run the study again".into());
        let run = self.copies_studied().ok_or_else(gone)?;
        if self.copies_study_is_stale() {
            return Err(SessionError::Other("the job has changed since: run the study again".into()));
        }
        let (study, row) = (&run.study, run.rows.get(row).ok_or_else(gone)?);
        let job = self.shared_job();
        let part = job.part(study.part).ok_or_else(gone)?;
        let in_turn = row.way == CopiesWay::InTurn;
        let twin = (row.way == CopiesWay::Twin).then_some(Twin::Shifted);
        let (with, out) = on_a_new_plate(&job, part, (study.machine, twin), &row.layout)?;
        self.change_to(label, with);
        self.plate = out.plates.first().copied().or(self.plate);
        self.selection.clear();
        if in_turn {
            self.tell("choose printing one after another where you make the machine code; times on the sheet are those of all copies together");
        }
        Ok(())
    }

    /// Has the plate compared stand as in the n-th row; what does not fit goes to further plates; one step back.
    pub(in crate::session) fn use_plate_row(&mut self, label: &str, row: usize) -> Result<(), SessionError> {
        let gone = || SessionError::Other("this row is not there any more: compare again".into());
        let run = self.plate_studied().ok_or_else(gone)?;
        if self.plate_study_is_stale() {
            return Err(SessionError::Other("the plate has changed since: compare again".into()));
        }
        let row = run.rows.get(row).ok_or_else(gone)?;
        if row.left > 0 {
            let left = crate::words::copies(row.left);
            return Err(SessionError::Other(format!("no plate takes {left} this way: choose another")));
        }
        let job = self.shared_job();
        let plate = job.plate(run.study.plate).ok_or_else(gone)?;
        let mut puts = Vec::new();
        for c in row.here.iter() {
            let now = c.copy.and_then(|id| plate.copies.iter().find(|p| p.id == id));
            if now.is_none_or(|n| n.placement() != c.at) {
                puts.push(put(c, c.copy, PlateTarget::Existing(plate.id)));
            }
        }
        for (n, copies) in row.further.iter().enumerate() {
            let target = PlateTarget::New(n, PlateSetup::of(plate));
            puts.extend(copies.iter().map(|c| put(c, c.copy, target.clone())));
        }
        let mut with = (*job).clone();
        if !puts.is_empty() {
            with = apply(&with, &Command::put(puts))?.0;
        }
        let mut changed: BTreeMap<String, (Footing, Vec<CopyId>)> = BTreeMap::new();
        for c in row.here.iter().chain(row.further.iter().flat_map(|p| p.iter())) {
            let Some(id) = c.copy else { continue };
            if job.copy(id).is_some_and(|(_, now)| job.footing(now) != c.footing) {
                changed.entry(c.footing.words()).or_insert_with(|| (c.footing, Vec::new())).1.push(id);
            }
        }
        for (footing, copies) in changed.into_values() {
            with = apply(&with, &Command::SetFooting { copies, footing: Some(footing) })?.0;
        }
        self.change_to(label, with);
        Ok(())
    }
}

/// A job with these copies on a plate of their own.
fn on_a_new_plate(
    job: &Job,
    part: &Part,
    (machine, twin): (MachineId, Option<Twin>),
    layout: &[LaidCopy],
) -> Result<(Job, Outcome), SessionError> {
    let setup = PlateSetup { twin, ..PlateSetup::for_part(part, machine) };
    let puts = layout.iter().map(|c| put(c, None, PlateTarget::New(0, setup.clone()))).collect();
    Ok(apply(job, &Command::put(puts))?)
}

/// A job whose part has this footing, and all its copies the part's.
fn with_footing(job: &Job, part: PartId, footing: Footing) -> Result<Job, SessionError> {
    let its = job.part(part).ok_or_else(|| SessionError::Other("there is no such part".into()))?;
    let own: Vec<CopyId> = job
        .plates
        .iter()
        .flat_map(|p| &p.copies)
        .filter(|c| c.part == part && c.footing.is_some())
        .map(|c| c.id)
        .collect();
    let mut with = apply(job, &Command::SetPart { part: Part { footing, ..its.clone() } })?.0;
    if !own.is_empty() {
        with = apply(&with, &Command::SetFooting { copies: own, footing: None })?.0;
    }
    Ok(with)
}

fn put(laid: &LaidCopy, copy: Option<CopyId>, plate: PlateTarget) -> Put {
    let placed = PlacedCopy { part: laid.part, copy, at: laid.at };
    Put { copy, part: laid.part, plate, x_mm: laid.at.x, y_mm: laid.at.y, turn_deg: placed.turn_deg() }
}
