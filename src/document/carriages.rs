//! Two carriages on one X axis, and the two ways in which they print a plate twice.

use serde::{Deserialize, Serialize};

/// Two independent carriages that share the X axis, and Y and Z too: both print the same moves, or mirrored ones.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Carriages {
    /// Least distance between what the two print, mm: the strip between the halves in which nothing may lie.
    pub strip_mm: f64,
}

/// How a plate is printed twice at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Twin {
    /// The same again, farther along X.
    Shifted,
    /// Its mirror image.
    Handed,
}

impl Twin {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Shifted, Self::Handed];
    /// "shifted twin", "handed twin".
    pub fn words(self) -> &'static str {
        match self {
            Self::Shifted => "shifted twin",
            Self::Handed => "handed twin",
        }
    }
}
