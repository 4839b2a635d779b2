//! How much a finding matters.

use serde::Serialize;

/// How much it matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// The plate cannot be printed so.
    Stop,
    /// It may go wrong.
    Watch,
    /// Good to know.
    Note,
}

impl Level {
    /// "stop", "watch", "note".
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::Watch => "watch",
            Self::Note => "note",
        }
    }
}
