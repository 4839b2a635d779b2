//! What `tally` is asked to do.

use std::path::PathBuf;

use super::args::LearnedArg;
use crate::{document::Cause, session::SpoolCount};

/// What `tally` does.
#[derive(Debug, Clone)]
pub(super) struct TallyPlan {
    pub(super) job: PathBuf,
    pub(super) output: Option<PathBuf>,
    pub(super) said: Option<SaidOfPlate>,
    pub(super) replace: bool,
    pub(super) csv_in: Option<PathBuf>,
    pub(super) csv_out: Option<PathBuf>,
    pub(super) take: Vec<LearnedArg>,
    pub(super) report: bool,
    pub(super) json: bool,
}

/// What came out of one plate.
#[derive(Debug, Clone)]
pub(super) struct SaidOfPlate {
    /// Counted from 1.
    pub(super) plate: usize,
    pub(super) run: Option<u32>,
    pub(super) good: Option<usize>,
    pub(super) bad: Option<usize>,
    pub(super) bad_copies: Vec<(String, Option<Cause>)>,
    pub(super) cause: Option<Cause>,
    pub(super) hours: f64,
    pub(super) grams: Option<f64>,
    pub(super) spool: SpoolCount,
    pub(super) initials: String,
    pub(super) note: String,
    pub(super) date: Option<String>,
}
