//! Why something asked for did not happen.

use std::{
    io::{Error as IoError, ErrorKind},
    path::PathBuf,
};

use thiserror::Error;

use crate::{document::file::FileError, edit::EditError, formats::read::ReadError};

/// Why something asked for did not happen. Each is one sentence that says what to do.
#[derive(Debug, Error)]
pub enum SessionError {
    /// A file that cannot be read.
    #[error("{}: cannot be read: {}", path.display(), in_words(why))]
    Read {
        /// Which.
        path: PathBuf,
        /// Why, from the system.
        why: IoError,
    },
    /// A file that cannot be written.
    #[error("{}: cannot be written: {}; what was there before is untouched", path.display(), in_words(why))]
    Write {
        /// Which.
        path: PathBuf,
        /// Why, from the system.
        why: IoError,
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

/// What the system answered, without its number.
fn in_words(why: &IoError) -> String {
    match why.kind() {
        ErrorKind::NotFound if why.get_ref().is_none() => "there is no such file or folder".to_owned(),
        ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => {
            let all = why.to_string();
            all.split(" (os error").next().unwrap_or(&all).to_owned()
        }
    }
}
