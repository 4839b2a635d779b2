//! What every printed page says of the job.

use crate::{document::file, drawing::run_sheet::PageHead, session::Session, words, work::sha256_hex};

/// Digits of a revision: as many as tell a shop's states of a job apart.
const DIGITS: usize = 8;

impl Session {
    /// Title, revision and date. The revision is the beginning of the SHA-256 of the job as it is saved: the same job has the same revision on
    /// every computer.
    pub(in crate::session) fn page_head(&self) -> PageHead {
        let bytes = file::write(self.job()).unwrap_or_default();
        let revision = sha256_hex(&bytes).chars().take(DIGITS).collect();
        PageHead { job: words::plain(&self.name_for_lists()).into_owned(), revision, date: self.today() }
    }
}
