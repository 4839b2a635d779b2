//! What is asked before a file that somebody may want is replaced.

use std::path::PathBuf;

use crate::session::TimelineFile;

/// Why saving asks first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SaveDoubt {
    /// Somebody else has written the file since it was read here.
    Changed,
    /// The file is write-protected.
    Protected,
    /// Another file has that name.
    Taken,
}

/// A file that saving would replace, and why that is asked first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replacing {
    /// The file.
    pub path: PathBuf,
    /// Why.
    pub why: SaveDoubt,
    /// What is saved there: the plan, or, with `None`, the job.
    pub plan: Option<TimelineFile>,
}

impl Replacing {
    /// What is the matter, in one sentence.
    pub fn sentence(&self) -> String {
        let path = self.path.display();
        match self.why {
            SaveDoubt::Changed => format!("{path} was changed by another window or program since it was read here."),
            SaveDoubt::Protected => format!("{path} is write-protected."),
            SaveDoubt::Taken => format!("There is already a file {path}."),
        }
    }

    /// The same where nobody can be asked, with what to do.
    pub fn refusal(&self) -> String {
        let path = self.path.display();
        match self.why {
            SaveDoubt::Changed => format!(
                "{path}: was changed by another program while this command ran; nothing was written: run the command again"
            ),
            SaveDoubt::Protected => {
                format!("{path}: is write-protected: make it writable, or name another file with -o")
            }
            SaveDoubt::Taken => format!("{path}: is there already: name another file with -o"),
        }
    }
}
