//! How unsaved work is kept.

use std::{collections::BTreeSet, path::PathBuf, time::Instant};

use crate::session::Held;

/// How unsaved work is kept.
#[derive(Debug, Default)]
pub(in crate::session) struct Keeping {
    /// It is kept at all.
    pub(super) recovers: bool,
    /// The revision looked at last.
    pub(in crate::session) revision: u64,
    /// Where this session keeps its work, and the lock on it.
    pub(super) kept: Option<(PathBuf, Option<Held>)>,
    /// It could not be kept: since then it is tried again at this time, or with the next change.
    pub(super) again: Option<Instant>,
    /// Jobs left behind that this run was told to recover or to discard.
    pub(super) decided: BTreeSet<PathBuf>,
}
