//! When each action can be asked for.

use crate::session::{Action, Ask, Scope, Session};

impl Action {
    /// Can it be asked for now?
    pub fn enabled(&self, session: &Session) -> bool {
        let selected = !session.selection().is_empty();
        let arranging = session.arranging().is_some();
        match self {
            Self::Undo => session.undo_label().is_some() && !arranging,
            Self::Redo => session.redo_label().is_some() && !arranging,
            Self::Save => session.changed() || session.path().is_none(),
            Self::Delete
            | Self::Duplicate
            | Self::Grid { .. }
            | Self::Turn(_)
            | Self::Nudge(..)
            | Self::Lock(_)
            | Self::Footing(_)
            | Self::Pack(Scope::Selection)
            | Self::ToPlate(_) => selected && !arranging,
            Self::Align(_) => session.selection().len() > 1 && !arranging,
            Self::SelectAll => session.plate().is_some_and(|p| !p.copies.is_empty()),
            Self::SelectNone => selected || session.part_id().is_some(),
            Self::Pack(Scope::Plate) => session.plate().is_some_and(|p| !p.copies.is_empty()) && !arranging,
            Self::Pack(Scope::Job) => session.job().plates.iter().any(|p| !p.copies.is_empty()) && !arranging,
            Self::Pack(Scope::Order) => session.unplaced_count() > 0 && !arranging,
            Self::TopUp(_) | Self::TopUpArea(_) => {
                session.plate().is_some() && !session.job().parts.is_empty() && !arranging
            }
            Self::NewPlate => !session.job().parts.is_empty() && !arranging,
            Self::Ask(Ask::Export) => {
                session.job().plates.iter().any(|p| !p.copies.is_empty()) && session.handing_over().is_none()
            }
            Self::Ask(Ask::ExportPlate(plate)) => {
                let copies = session.job().plate(*plate).is_some_and(|p| !p.copies.is_empty());
                copies && session.handing_over().is_none()
            }
            Self::Ask(Ask::RunSheet(plate)) => session.job().plate(*plate).is_some_and(|p| !p.copies.is_empty()),
            Self::CancelExport => session.handing_over().is_some(),
            Self::KeepLying(_)
            | Self::EndBy(_)
            | Self::UseFooting(..)
            | Self::SetShifts(_)
            | Self::UseHours
            | Self::MarkRun(..)
            | Self::MoveRun { .. }
            | Self::Tally(_)
            | Self::RemoveOutcome(_)
            | Self::UseLearned(_)
            | Self::Tick(..)
            | Self::Untick(..)
            | Self::NozzleChanged(_)
            | Self::SetReadiness(_)
            | Self::ReadTally(_)
            | Self::Ask(Ask::ReadTally) => !arranging,
            Self::Ask(Ask::WriteTally) => !session.job().tally.is_empty(),
            Self::MoveAllApart => {
                let view = session.plate_id().and_then(|p| session.view(p));
                view.is_some_and(|v| !v.conflicts.is_empty()) && !arranging
            }
            Self::DuplicatePlate(_) | Self::AddKeepOut(..) | Self::MoveKeepOut(..) | Self::RemoveKeepOut(..) => {
                !arranging
            }
            Self::SetTwin(plate, twin) => {
                let job = session.job();
                let machine = job.plate(*plate).and_then(|p| job.machine(p.machine));
                (twin.is_none() || machine.is_some_and(|m| m.carriages.is_some())) && !arranging
            }
            Self::OrderHands(part) => {
                let job = session.job();
                let other = job.part(*part).and_then(|p| p.other_hand);
                job.part(*part).is_some() && other.is_none_or(|id| job.part(id).is_none()) && !arranging
            }
            Self::SuggestedFootings(plate) => session.needing_footing(*plate) > 0 && !arranging,
            Self::FootingAsPart(part) => session.with_own_footing(*part) > 0 && !arranging,
            Self::Deal => !session.job().parts.is_empty() && !arranging && session.dealing().is_none(),
            Self::Take => arranging || session.dealing().is_some_and(|d| d.standing.is_some()),
            Self::Cancel => arranging || session.dealing().is_some() || session.deal_is_waiting(),
            Self::TakeFactor => session.measured_factor().is_some() && !arranging,
            Self::EndGauge => session.gauging().is_some(),
            Self::ShowGauged(n) => {
                let listed = session.gauging().filter(|g| g.measured.is_some()).and_then(|g| g.folder.as_ref());
                listed.is_some_and(|f| *n < f.files.len())
            }
            Self::ImproveSequence => {
                let plates = session.timeline().map_or(0, |t| t.about.iter().filter(|a| !a.is_running).count());
                plates > 1 && !arranging && session.improving().is_none()
            }
            Self::Ask(Ask::Timeline(_)) => {
                session.timeline().is_some_and(|t| !t.plan.timed.is_empty() && t.pending.is_empty())
            }
            Self::CancelImprove => session.improving().is_some(),
            Self::CancelStudy => session.is_studying(),
            Self::LayOutStudied(n) => {
                let rows = session.footings_studied().map_or(&[][..], |r| &r.rows);
                rows.get(*n).is_some_and(|r| r.copies > 0) && !session.footings_are_stale() && !arranging
            }
            Self::LayOutCopies(n) => {
                let rows = session.copies_studied().map_or(&[][..], |r| &r.rows);
                *n < rows.len() && !session.copies_study_is_stale() && !arranging
            }
            Self::UsePlateRow(n) => {
                let rows = session.plate_studied().map_or(&[][..], |r| &r.rows);
                rows.get(*n).is_some_and(|r| r.plate.is_some() && r.left == 0)
                    && !session.plate_study_is_stale()
                    && !arranging
            }
            Self::ShowHeight(None) => session.height_mm().is_some(),
            _ => true,
        }
    }
}
