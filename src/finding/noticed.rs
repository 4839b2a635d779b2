//! A finding.

use super::{FindingKind, Level, Remedy};
use crate::document::{CopyId, PlateId};

/// Something the tool noticed.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub level: Level,
    /// What it is about.
    pub kind: FindingKind,
    /// The plate, where it is about one.
    pub plate: Option<PlateId>,
    /// The copies it is about.
    pub copies: Vec<CopyId>,
    /// The height it is about, mm.
    pub height_mm: Option<f64>,
    /// One sentence.
    pub text: String,
    /// What would help.
    pub remedy: Option<Remedy>,
    /// What else would help, the best first.
    pub more: Vec<Remedy>,
}
