//! What a person says of a plate.

use jiff::Timestamp;

use crate::document::{Cause, PlateId};

/// How the spool is counted down.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum SpoolCount {
    /// Not at all.
    #[default]
    Leave,
    /// By the grams used, or where nobody weighed them by those estimated.
    TakeOff,
    /// It was weighed: so many grams are left.
    Left(f64),
}

/// What a person says of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct TallyEntry {
    /// Which plate.
    pub plate: PlateId,
    /// Which run of it, from 1; `None` for the next one.
    pub run: Option<u32>,
    /// A run that is tallied already is written anew; else that is refused.
    pub replace: bool,
    /// When it ended; `None`: as it was marked, else now.
    pub ended: Option<Timestamp>,
    /// How long it really took, h.
    pub hours: f64,
    /// Good copies; `None`: all that are not bad.
    pub good: Option<usize>,
    /// Bad copies; `None`: those named, or all that are not good.
    pub bad: Option<usize>,
    /// Bad copies by name ("E 14"), each with its cause where it has one of its own.
    pub bad_copies: Vec<(String, Option<Cause>)>,
    /// Why the others are bad.
    pub cause: Option<Cause>,
    /// Filament used, g.
    pub grams: Option<f64>,
    /// How the spool is counted down.
    pub spool: SpoolCount,
    /// Initials of who tallied it.
    pub by: String,
    /// A note.
    pub note: String,
}

impl TallyEntry {
    /// A plate whose copies are all good.
    pub fn all_good(plate: PlateId, hours: f64) -> Self {
        Self {
            plate,
            run: None,
            replace: false,
            ended: None,
            hours,
            good: None,
            bad: None,
            bad_copies: Vec::new(),
            cause: None,
            grams: None,
            spool: SpoolCount::Leave,
            by: String::new(),
            note: String::new(),
        }
    }
}
