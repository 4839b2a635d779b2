//! What a run sheet says.

use super::{
    cautions::cautions,
    checks::{causes, checks},
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
        let checks = checks(job, self.ready_lines_in(job, plate), &removal(job, plate, moments));
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
            causes: causes(),
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
