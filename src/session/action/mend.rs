//! Mends of parts' meshes.

use crate::{
    document::{Mend, Part, PartId},
    edit::Command,
    session::{Session, SessionError},
};

impl Session {
    /// Adds a mend to each of these parts, as one step.
    pub(super) fn add_mend(&mut self, label: &str, parts: &[PartId], mend: Mend) -> Result<(), SessionError> {
        let with = |part: &Part| part.mends.iter().copied().chain([mend]).collect();
        self.set_mends(label, parts, &with)?;
        self.tell(format!("Mesh put right: {}. The file stays as it is", mend.words()));
        Ok(())
    }

    /// Takes the n-th mend of these parts away, as one step.
    pub(super) fn undo_mend(&mut self, label: &str, parts: &[PartId], n: usize) -> Result<(), SessionError> {
        let there = |id: &PartId| self.job().part(*id).is_some_and(|p| n < p.mends.len());
        if !parts.iter().all(there) {
            return Err(SessionError::Other("this part has no such mend".into()));
        }
        let without = |part: &Part| part.mends.iter().enumerate().filter(|(i, _)| *i != n).map(|(_, m)| *m).collect();
        self.set_mends(label, parts, &without)
    }

    fn set_mends(
        &mut self,
        label: &str,
        parts: &[PartId],
        mends: &dyn Fn(&Part) -> Vec<Mend>,
    ) -> Result<(), SessionError> {
        let no_part = || SessionError::Other("there is no such part".into());
        let first = parts.first().and_then(|id| self.job().part(*id)).ok_or_else(no_part)?;
        let mends = mends(first);
        self.command(label, &Command::SetMends { parts: parts.to_vec(), mends })
    }
}
