//! What a run sheet says.

use super::{
    RunSheetLists,
    cautions::cautions,
    figures::{figures, removal},
    moment::Moments,
};
use crate::{
    document::{Job, Plate, PlateId},
    drawing::run_sheet::{PageHead, RunSheetGiven},
    session::{PlateView, Session, findings::shifts::are_asked_for, shifts::are_equal},
    words,
};

impl Session {
    /// What the run sheet of a plate says besides its drawing; `None` where the plate is not there.
    pub(in crate::session) fn run_sheet_given(&self, plate: PlateId, head: &PageHead) -> Option<RunSheetGiven> {
        let job = self.job();
        let (number, plate) = (job.plate_number(plate)?, job.plate(plate)?);
        let none = PlateView::default();
        let view = self.view(plate.id).unwrap_or(&none);
        let moments = Moments::new(self.planned(plate));
        let lists = RunSheetLists::default();
        let spool = plate.spool.and_then(|id| job.spool(id));
        let spool = spool.map_or_else(
            || "Enough filament on the spool".to_owned(),
            |s| format!("Spool {} on the machine", words::plain(&s.name)),
        );
        let mut checks = lists.checks;
        checks.extend([spool, "First layer watched to its end".to_owned(), removal(job, plate, moments)]);
        Some(RunSheetGiven {
            head: head.clone(),
            plate: number,
            plates: job.plates.len(),
            machine: job.machine(plate.machine).map_or_else(|| "?".to_owned(), |m| words::plain(&m.name).into_owned()),
            same_machines: same_machines(job, plate),
            facts: figures(job, plate, view, moments),
            look: self.where_to_look(job, plate, view, moments),
            checks,
            cautions: cautions(job, moments),
            causes: lists.causes,
        })
    }

    /// A plate in the plan, where anybody has said anything about when plates run.
    fn planned(&self, plate: &Plate) -> Option<(&crate::session::Timeline, &crate::batch::sequence::Timed)> {
        let t = self.timeline().filter(|_| are_asked_for(self.job()))?;
        Some((t, t.timed(t.run_of(plate.id)?)?))
    }
}

/// Names of other machines that can run a plate's files as they are.
pub(in crate::session) fn same_machines(job: &Job, plate: &Plate) -> Vec<String> {
    let Some(own) = job.machine(plate.machine) else { return Vec::new() };
    let others = job.machines.iter().filter(|m| m.id != own.id && are_equal(m, own));
    others.map(|m| words::plain(&m.name).into_owned()).collect()
}
