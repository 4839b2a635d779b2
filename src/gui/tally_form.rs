//! What is typed of a plate before it is written into the tally.

use crate::{
    document::{Cause, CopyId, PlateId},
    session::{Session, SpoolCount, TallyEntry},
};

/// What is typed of a plate before it is written into the tally.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TallyForm {
    pub(crate) plate: PlateId,
    /// Outcomes of the plate when the form came up: one more, and it is written down.
    pub(crate) runs: usize,
    pub(crate) hours: f64,
    pub(crate) grams: Option<f64>,
    /// The cause that the next copy marked as bad gets.
    pub(crate) cause: Cause,
    /// Bad copies by name.
    pub(crate) bad: Vec<(String, Cause)>,
    pub(crate) initials: String,
    pub(crate) note: String,
    /// When it ended, as typed; empty: as it was marked, else now.
    pub(crate) date: String,
    pub(crate) count_spool: bool,
}

impl TallyForm {
    /// For a plate: its hours are those between the marks, else as estimated.
    pub(crate) fn of(session: &Session, plate: PlateId, initials: &str) -> Option<Self> {
        let job = session.job();
        let p = job.plate(plate).filter(|p| !p.copies.is_empty())?;
        let between = p.run.started.zip(p.run.ended).map(|(a, b)| (b.as_second() - a.as_second()) as f64);
        let estimated = || session.view(plate).and_then(|v| v.estimate.as_ref()).map(|e| e.time_s);
        let seconds = between.filter(|s| *s > 0.0).or_else(estimated).unwrap_or(3600.0);
        Some(Self {
            plate,
            runs: job.tally.of_plate(plate).count(),
            hours: (seconds / 36.0).round() / 100.0,
            grams: None,
            cause: Cause::CameLoose,
            bad: Vec::new(),
            initials: initials.to_owned(),
            note: String::new(),
            date: String::new(),
            count_spool: p.spool.is_some(),
        })
    }
    /// Marks a copy as bad, with the cause chosen, or as good again.
    pub(crate) fn toggle(&mut self, session: &Session, copy: CopyId) {
        let job = session.job();
        let Some((plate, copy)) = job.copy(copy).filter(|(p, _)| p.id == self.plate) else { return };
        debug_assert_eq!(plate.id, self.plate);
        let name = job.copy_name(copy);
        match self.bad.iter().position(|(n, _)| *n == name) {
            Some(i) => {
                self.bad.remove(i);
            }
            None => self.bad.push((name, self.cause)),
        }
    }
    /// Why a copy is marked as bad; `None` while it is good.
    pub(crate) fn cause_of(&self, name: &str) -> Option<Cause> {
        self.bad.iter().find(|(n, _)| n == name).map(|(_, c)| *c)
    }
    /// As the session takes it. The error is a date that cannot be read.
    pub(crate) fn entry(&self, session: &Session) -> Result<TallyEntry, String> {
        let ended = if self.date.trim().is_empty() { None } else { Some(session.when_ended(&self.date)?) };
        Ok(TallyEntry {
            ended,
            bad_copies: self.bad.iter().map(|(n, c)| (n.clone(), Some(*c))).collect(),
            grams: self.grams,
            spool: if self.count_spool { SpoolCount::TakeOff } else { SpoolCount::Leave },
            by: self.initials.clone(),
            note: self.note.clone(),
            ..TallyEntry::all_good(self.plate, self.hours)
        })
    }
}
