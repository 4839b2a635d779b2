//! A plate on another machine, or at another place in the sequence.

use crate::{
    document::{Job, MachineId, PlateId},
    edit::{Command, PlateSetup, apply},
    plate::{Checker, ConflictKind},
    session::{Session, SessionError},
};

impl Session {
    /// Why a plate cannot run on a machine; `None` where it can.
    pub fn move_refusal(&self, id: PlateId, to: MachineId) -> Option<String> {
        let job = self.job();
        let (plate, machine) = (job.plate(id)?, job.machine(to)?);
        let number = job.plate_number(id).unwrap_or(0);
        if plate.run.started.is_some() || plate.run.ended.is_some() {
            return Some(format!("plate {number} has been started: mark it as not started first"));
        }
        if plate.machine == to {
            return None;
        }
        if plate.run.fixed {
            return Some(format!("plate {number} is fixed: free it first"));
        }
        if plate.twin.is_some() && machine.carriages.is_none() {
            return Some(format!("plate {number} is printed by two carriages, and {} has one", machine.name));
        }
        let there = on_machine(job, id, to)?;
        let of_bed = |job: &Job| {
            let plate = job.plate(id)?;
            let all = Checker::new(job, plate, &self.caches.shapes, &self.caches.prepared).conflicts();
            Some(all.into_iter().filter(|c| is_of_bed(c.kind)).collect::<Vec<_>>())
        };
        let (before, after) = (of_bed(job)?, of_bed(&there)?);
        let is_new = |c: &&crate::plate::Conflict| !before.iter().any(|b| b.kind == c.kind && b.copies == c.copies);
        let worst = after.iter().filter(is_new).max_by(|a, b| a.amount_mm.total_cmp(&b.amount_mm))?;
        let name = worst.copies.first().and_then(|c| job.copy(*c)).map_or_else(String::new, |(_, c)| job.copy_name(c));
        let by = format!("{:.1} mm", worst.amount_mm);
        let why = match worst.kind {
            ConflictKind::TooTall => format!("{name} would be {by} too tall"),
            ConflictKind::KeepOut => {
                format!("{name} would lie in the keep-out {} by {by}", worst.keep_out.as_deref().unwrap_or("there"))
            }
            ConflictKind::SkirtRoom => format!("the skirt round {name} would have {by} too little room"),
            _ => format!("{name} would be off the bed by {by}"),
        };
        Some(format!("plate {number} does not fit {}: {why}", machine.name))
    }

    /// Moves a plate to a machine and before another plate of its sequence, or to its end: one step.
    pub(in crate::session) fn move_run(
        &mut self,
        label: &str,
        id: PlateId,
        to: MachineId,
        before: Option<PlateId>,
    ) -> Result<(), SessionError> {
        if let Some(why) = self.move_refusal(id, to) {
            return Err(SessionError::Other(why));
        }
        let there = on_machine(self.job(), id, to)
            .ok_or_else(|| SessionError::Other("there is no such plate or machine".into()))?;
        let order = order_with(&there, id, to, before);
        let (there, _) = apply(&there, &Command::OrderPlates { order })?;
        if there != *self.job() {
            self.change_to(label, there);
        }
        Ok(())
    }
}

fn on_machine(job: &Job, id: PlateId, machine: MachineId) -> Option<Job> {
    let setup = PlateSetup { machine, ..PlateSetup::of(job.plate(id)?) };
    apply(job, &Command::SetPlate { id, setup }).ok().map(|(job, _)| job)
}

/// The docket with a plate before another one, or after all plates of its machine.
fn order_with(job: &Job, id: PlateId, machine: MachineId, before: Option<PlateId>) -> Vec<PlateId> {
    let mut order: Vec<PlateId> = job.plates.iter().map(|p| p.id).filter(|p| *p != id).collect();
    let on = |p: &PlateId| job.plate(*p).is_some_and(|p| p.machine == machine && !p.copies.is_empty());
    let place = before.and_then(|b| order.iter().position(|p| *p == b));
    let place = place.or_else(|| order.iter().rposition(on).map(|p| p + 1)).unwrap_or(order.len());
    order.insert(place, id);
    order
}

fn is_of_bed(kind: ConflictKind) -> bool {
    matches!(
        kind,
        ConflictKind::OffBed
            | ConflictKind::TooLarge
            | ConflictKind::KeepOut
            | ConflictKind::SkirtRoom
            | ConflictKind::TooTall
    )
}
