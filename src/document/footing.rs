//! What holds a part down.

use serde::{Deserialize, Serialize};

/// What holds a part down.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Footing {
    /// Nothing beyond its own contact.
    #[default]
    Bare,
    /// One layer round the contact.
    Brim {
        /// Outward from the contact.
        width_mm: f64,
    },
    /// Several layers under the contact and beyond it.
    Raft {
        /// Outward from the contact.
        width_mm: f64,
    },
}

impl Footing {
    /// How far it reaches beyond the contact, mm.
    pub fn width_mm(self) -> f64 {
        match self {
            Self::Bare => 0.0,
            Self::Brim { width_mm } | Self::Raft { width_mm } => width_mm,
        }
    }
    /// "bare", "brim" or "raft".
    pub fn kind(self) -> &'static str {
        match self {
            Self::Bare => "bare",
            Self::Brim { .. } => "brim",
            Self::Raft { .. } => "raft",
        }
    }
    /// "bare", "brim 5 mm", "raft 3 mm".
    pub fn words(self) -> String {
        match self {
            Self::Bare => self.kind().to_owned(),
            Self::Brim { width_mm } | Self::Raft { width_mm } => format!("{} {width_mm} mm", self.kind()),
        }
    }
}
