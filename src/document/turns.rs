//! Which turns about Z a part may take.

use serde::{Deserialize, Serialize};

/// Which turns about Z Pack and Top up may give a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Turns {
    /// Any angle.
    Free,
    /// Eighths of a turn.
    #[default]
    Eighths,
    /// Quarters of a turn.
    Quarters,
    /// Half turns.
    Halves,
    /// As drawn.
    None,
}

impl Turns {
    /// All choices, freest first.
    pub const ALL: [Self; 5] = [Self::Free, Self::Eighths, Self::Quarters, Self::Halves, Self::None];
    /// The step in degrees; `None` for free turns, 360 for none.
    pub fn step_deg(self) -> Option<f64> {
        match self {
            Self::Free => None,
            Self::Eighths => Some(45.0),
            Self::Quarters => Some(90.0),
            Self::Halves => Some(180.0),
            Self::None => Some(360.0),
        }
    }
    /// As written on the command line: free, 45, 90, 180, none.
    pub fn word(self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::Eighths => "45",
            Self::Quarters => "90",
            Self::Halves => "180",
            Self::None => "none",
        }
    }
}
