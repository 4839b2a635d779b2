//! What of a job a search is about.

use std::collections::BTreeSet;

use crate::{
    document::{Job, MachineId, PartId, PlateId},
    plate::{Target, Task},
};

/// The plates, parts and machines of a job that a search is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(in crate::session) struct Concern {
    pub(in crate::session) plates: BTreeSet<PlateId>,
    pub(in crate::session) parts: BTreeSet<PartId>,
    pub(in crate::session) machines: BTreeSet<MachineId>,
}

impl Concern {
    /// Of a task made from a job.
    pub(in crate::session) fn of(task: &Task, job: &Job) -> Self {
        let targets = || (0..task.problem.beds.len()).filter_map(|b| task.mapping.target(b));
        let new = targets().filter_map(|t| match t {
            Target::New(new) => Some(new.machine),
            Target::Existing(_) => None,
        });
        let existing = targets().filter_map(|t| match t {
            Target::Existing(id) => Some(*id),
            Target::New(_) => None,
        });
        let plates: BTreeSet<PlateId> = existing.collect();
        let on_them = plates.iter().filter_map(|id| job.plate(*id));
        let machines = new.chain(on_them.map(|p| p.machine)).collect();
        let parts = (0..task.problem.shapes.len()).filter_map(|s| task.mapping.part(s)).collect();
        Self { plates, parts, machines }
    }
}
