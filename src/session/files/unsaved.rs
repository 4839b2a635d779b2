//! A job that a run left behind.

use std::{path::PathBuf, time::Duration};

/// A job that was left unsaved by a run that ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unsaved {
    /// Where it is kept.
    pub path: PathBuf,
    /// Its own file's name, its title where it has none, or "new job".
    pub name: String,
    /// How long ago it was kept last; `None` where that is not known.
    pub age: Option<Duration>,
}
