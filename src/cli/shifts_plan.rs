//! What `shifts` is asked to do.

use std::path::PathBuf;

use crate::session::ArrangeLimits;

/// What `shifts` does.
#[derive(Debug, Clone)]
pub(super) struct ShiftsPlan {
    pub(super) job: PathBuf,
    pub(super) start: Option<String>,
    pub(super) now: Option<String>,
    pub(super) calendar: Option<PathBuf>,
    pub(super) csv: Option<PathBuf>,
    /// Look for a better sequence, within these limits.
    pub(super) improve: Option<ArrangeLimits>,
    pub(super) output: Option<PathBuf>,
    pub(super) json: bool,
}
