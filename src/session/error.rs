//! Why something asked for did not happen.

use std::path::PathBuf;

use thiserror::Error;

use crate::{document::file::FileError, edit::EditError, formats::read::ReadError};

/// Why something asked for did not happen. Each is one sentence that says what to do.
#[derive(Debug, Error)]
pub enum SessionError {
    /// A file that cannot be read.
    #[error("{}: cannot be read: {why}", path.display())]
    Read {
        /// Which.
        path: PathBuf,
        /// Why, from the system.
        why: std::io::Error,
    },
    /// A file that cannot be written.
    #[error("{}: cannot be written: {why}; what was there before is untouched", path.display())]
    Write {
        /// Which.
        path: PathBuf,
        /// Why, from the system.
        why: std::io::Error,
    },
    /// A job file with a fault.
    #[error(transparent)]
    File(#[from] FileError),
    /// A mesh file with a fault.
    #[error(transparent)]
    Mesh(#[from] ReadError),
    /// A change that the job refuses.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// Anything else, in words.
    #[error("{0}")]
    Other(String),
}
