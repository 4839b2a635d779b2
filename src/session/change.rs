//! Changes of the job: one step back each.

use std::collections::BTreeSet;

use crate::{
    document::{CopyId, Job},
    edit::{Command, Outcome},
    session::{Session, SessionError},
};

impl Session {
    /// Carries out one command as one undo step.
    pub(super) fn change(&mut self, label: &str, command: &Command) -> Result<Outcome, SessionError> {
        Ok(self.history.apply(label, command)?)
    }

    /// Carries out one command as one undo step, where nobody asks what was made.
    pub(super) fn command(&mut self, label: &str, command: &Command) -> Result<(), SessionError> {
        self.change(label, command).map(drop)
    }

    /// Another job in place of this one, as one undo step: for what takes several commands.
    pub(super) fn change_to(&mut self, label: &str, job: Job) {
        self.history.begin(label);
        self.history.show(job);
        self.history.commit();
    }

    /// Drops what is selected or shown and no longer there.
    pub(super) fn tidy_selection(&mut self, job: &Job) {
        if self.plate.is_none_or(|id| job.plate(id).is_none()) {
            self.plate = job.plates.first().map(|p| p.id);
        }
        let here: BTreeSet<CopyId> =
            self.plate.and_then(|id| job.plate(id)).into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
        self.selection.retain(|c| here.contains(c));
        if self.part.is_none_or(|id| job.part(id).is_none()) {
            self.part = None;
        }
    }
}
