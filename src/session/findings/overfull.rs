//! What Pack found no place for: said, and never taken off a plate.

use std::sync::Arc;

use crate::{
    document::{CopyId, Job},
    finding::{Finding, FindingKind, Level, Remedy},
    session::{
        Arranging, Session,
        search::{fingerprint::Fingerprint, overfull::Overfull},
    },
    words,
};

/// Copies named at most.
const NAMED: usize = 4;

impl Session {
    /// Keeps what a search found no place for as a finding, and tells it.
    pub(in crate::session) fn say_overfull(&mut self, a: &Arranging, without_room: &[CopyId]) {
        let of = self.history.shared_job();
        let plates = a.existing_plates();
        let tried = a.task.mapping.movable();
        let names: Vec<String> =
            without_room.iter().take(NAMED).filter_map(|id| of.copy(*id)).map(|(_, copy)| of.copy_name(copy)).collect();
        let more = match without_room.len().saturating_sub(NAMED) {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        let place = match plates[..] {
            [one] => format!("on plate {}", of.plate_number(one).unwrap_or(0)),
            _ => "on these plates".into(),
        };
        let (n, all) = (without_room.len(), tried.len());
        let fit = if n == 1 { "does not fit" } else { "do not fit" };
        let text = format!(
            "Pack: {n} of {} {fit} {place} with the margins and footings asked for ({}{more}). Nothing was moved.",
            words::copies(all),
            names.join(", "),
        );
        self.tell_fault(text.clone());
        // Further plates are offered once: with them it would be the same again.
        let remedy = (!a.further_plates()).then_some(Remedy::PackOnMorePlates { plates, copies: tried });
        let finding = Finding {
            level: Level::Watch,
            kind: FindingKind::NoRoom,
            plate: None,
            copies: without_room.to_vec(),
            height_mm: None,
            text,
            remedy,
            more: Vec::new(),
        };
        self.overfull = Some(Overfull { finding, concern: a.concern.clone(), of });
    }

    /// The finding of the last Pack that found no place for a copy, for as long as nothing it depends on has changed.
    pub(super) fn overfull_finding(&mut self, job: &Arc<Job>) -> Option<Finding> {
        self.overfull.take_if(|o| {
            !Arc::ptr_eq(job, &o.of) && Fingerprint::new(job, &o.concern) != Fingerprint::new(&o.of, &o.concern)
        });
        self.overfull.as_ref().map(|o| o.finding.clone())
    }
}
