//! What findings offer.

use std::collections::BTreeSet;

use crate::{
    document::CopyId,
    edit::{Command, Put},
    finding::Remedy,
    plate::{self, move_apart},
    session::{Ask, RunMark, Scope, Session, SessionError},
};

impl Session {
    pub(super) fn mend(&mut self, remedy: Remedy) -> Result<(), SessionError> {
        let label: &str = &remedy.label();
        match remedy {
            Remedy::MoveApart { copies } | Remedy::MoveOntoBed { copies } => self.move_clear(label, &copies)?,
            Remedy::MoveToNewPlate { copies } => self.move_to_plate(label, &copies, None)?,
            Remedy::Remove { copies } => {
                self.change(label, &Command::RemoveCopies { copies })?;
            }
            Remedy::PackPlate { plate } => {
                self.plate = Some(plate);
                self.pack(label, Scope::Plate)?;
            }
            Remedy::PackOnMorePlates { plates, copies } => {
                let only: BTreeSet<CopyId> = copies.into_iter().collect();
                let job = self.job_to_arrange();
                let task = plate::pack_task(&job, &plates, Some(&only), true, self.shapes(), self.prepared());
                let task = task.map_err(|e| SessionError::Other(e.to_string()))?;
                self.arrange(label, task, false, None);
            }
            Remedy::PlaceMissing { .. } => self.pack(label, Scope::Order)?,
            Remedy::LocateMesh { mesh } => {
                if let Some(part) = self.job().parts.iter().find(|p| p.mesh == mesh) {
                    self.asked = Some(Ask::LocateMesh(part.id));
                }
            }
            Remedy::TakeChangedMesh { mesh } => self.take_changed(&mesh)?,
            Remedy::SetFooting { copies, footing } => {
                self.give_footings(label, vec![(copies, footing)])?;
            }
            Remedy::Mend { parts, mend } => self.add_mend(label, &parts, mend)?,
            Remedy::UndoMend { parts, mend } => self.undo_mend(label, &parts, mend)?,
            Remedy::SplitBodies { part } => self.split(label, part)?,
            Remedy::SetUnit { part, unit } => self.set_unit(label, part, unit)?,
            Remedy::LayDown { part, normal, .. } => self.lay_down(label, part, normal)?,
            Remedy::RankPoses { part } => {
                self.select_part(part);
                self.rank_poses(part);
            }
            Remedy::MoveOutOfReach { copies } => self.move_out_of_reach(label, &copies)?,
            Remedy::SetTwin { plate, twin } => self.set_twin(label, plate, twin)?,
            Remedy::OrderHands { part } => self.order_hands(label, part)?,
            Remedy::ImproveSequence => self.improve_sequence()?,
            Remedy::UseHours => self.take_hours(label)?,
            Remedy::MarkEnded { plate } => self.mark_run(plate, RunMark::Ended(None))?,
            Remedy::MarkFailed { plate } => self.mark_run(plate, RunMark::Failed)?,
            Remedy::Show { copies } => {
                if let Some((plate, _)) = copies.first().and_then(|c| self.job().copy(*c)) {
                    self.plate = Some(plate.id);
                    self.selection = copies.into_iter().collect();
                }
            }
        }
        Ok(())
    }

    /// Moves one of the copies to the nearest place where it is in no conflict.
    fn move_clear(&mut self, label: &str, copies: &[CopyId]) -> Result<(), SessionError> {
        let job = self.job();
        for id in copies.iter().rev() {
            let Some((plate, copy)) = job.copy(*id).filter(|(_, c)| !c.locked) else { continue };
            let Some(at) = self.checker(plate.id).and_then(|c| move_apart(c, *id)) else { continue };
            let put = Put { x_mm: at.x, y_mm: at.y, ..Put::as_it_lies(copy, plate.id) };
            return self.put(label, vec![put]);
        }
        Err(SessionError::Other("no free place nearby: move it by hand, or pack this plate".into()))
    }
}
