//! What is known of the files that saving may replace.

use std::path::{Path, PathBuf};

use crate::{
    session::{Replacing, files::paths::absolute},
    work::sha256_hex,
};

/// What may be replaced without a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::session) enum Consent {
    /// The job's own file as it was read, and files without which nothing is lost.
    Own,
    /// Any file that nobody has changed meanwhile: its name was chosen knowingly.
    Named,
    /// Whatever is there.
    Any,
}

/// What is known of the files that saving may replace.
#[derive(Debug, Default)]
pub(in crate::session) struct OnDisk {
    /// SHA-256 of files as they were read or written here last; `None` where there was none.
    pub(in crate::session) known: Option<(PathBuf, Option<String>)>,
    /// SHA-256 of the file that a command will write, as it was when the command began.
    pub(super) noted: Option<(PathBuf, Option<String>)>,
    /// What is asked.
    pub(in crate::session) replacing: Option<Replacing>,
}

impl OnDisk {
    /// For another job; what a command will write stays noted.
    pub(super) fn begin_anew(&mut self) {
        (self.known, self.replacing) = (None, None);
    }
    /// The job's file holds these bytes.
    pub(super) fn know(&mut self, path: &Path, bytes: &[u8]) {
        self.known = Some((absolute(path), Some(sha256_hex(bytes))));
    }
    /// The job's file held what has this hash.
    pub(super) fn know_hash(&mut self, path: &Path, hash: Option<String>) {
        self.known = Some((absolute(path), hash));
    }
    /// What was in a file when it was looked at last; `None` where nobody looked.
    pub(super) fn expected(&self, path: &Path) -> Option<&Option<String>> {
        let path = absolute(path);
        self.known.iter().chain(&self.noted).find(|(p, _)| *p == path).map(|(_, hash)| hash)
    }
}
