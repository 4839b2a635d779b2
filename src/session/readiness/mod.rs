//! The checklist of a plate: its lines, and ticks.

use crate::{
    document::{Job, MachineId, Plate, PlateId, ReadyItem, ReadyLine, Tick},
    edit::Command,
    finding::FindingKind,
    session::{Session, SessionError},
};

impl Session {
    /// The checklist of a plate; empty where there is no such plate.
    pub fn ready_lines(&self, plate: PlateId) -> Vec<ReadyLine> {
        let job = self.job();
        job.plate(plate).map_or_else(Vec::new, |p| self.ready_lines_in(job, p))
    }

    /// The same of a job that is about to be shown.
    pub(in crate::session) fn ready_lines_in(&self, job: &Job, plate: &Plate) -> Vec<ReadyLine> {
        job.ready_lines(plate, &self.delicate(job, plate))
    }

    /// Names of copies that could tip over, are thin or slender, or begin in mid-air.
    fn delicate(&self, job: &Job, plate: &Plate) -> Vec<String> {
        let kinds = [FindingKind::TipOver, FindingKind::Shape, FindingKind::MidAir];
        let findings = self.view(plate.id).into_iter().flat_map(|v| &v.findings).filter(|f| kinds.contains(&f.kind));
        let ids: std::collections::BTreeSet<_> = findings.flat_map(|f| f.copies.iter().copied()).collect();
        plate.copies.iter().filter(|c| ids.contains(&c.id)).map(|c| job.copy_name(c)).collect()
    }

    pub(super) fn tick_item(
        &mut self,
        label: &str,
        plate: PlateId,
        item: ReadyItem,
        by: &str,
    ) -> Result<(), SessionError> {
        let (job, when) = (self.job(), self.now());
        let Some(plate) = job.plate(plate) else { return no_plate() };
        let of = Some(plate.id).filter(|_| !item.is_of_machine());
        let material = Some(plate.material).filter(|_| item == ReadyItem::Tuned);
        let mut readiness = job.readiness.clone();
        readiness.set(Tick { item, machine: plate.machine, plate: of, material, when, by: by.trim().to_owned() });
        self.command(label, &Command::SetReadiness { readiness: Box::new(readiness) })
    }

    pub(super) fn untick_item(&mut self, label: &str, plate: PlateId, item: &ReadyItem) -> Result<(), SessionError> {
        let job = self.job();
        let Some(plate) = job.plate(plate) else { return no_plate() };
        let mut readiness = job.readiness.clone();
        readiness.unset(item, plate);
        self.command(label, &Command::SetReadiness { readiness: Box::new(readiness) })
    }

    pub(super) fn nozzle_changed(&mut self, label: &str, machine: MachineId) -> Result<(), SessionError> {
        let mut readiness = self.job().readiness.clone();
        readiness.nozzle_changed(machine, self.now());
        self.command(label, &Command::SetReadiness { readiness: Box::new(readiness) })
    }
}

fn no_plate() -> Result<(), SessionError> {
    Err(SessionError::Other("there is no such plate".into()))
}
