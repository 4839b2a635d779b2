//! Something that the tally teaches.

use crate::document::{PartId, RecipeId};

/// Something that the tally teaches and the job can take over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Offer {
    /// A recipe's time factor.
    TimeFactor(RecipeId, f64),
    /// The spread of real times, %.
    TimeSpread(f64),
    /// Plates lost at once, %.
    LostPlates(f64),
    /// Copies that fail, %.
    Failing(f64),
    /// Copies of a part that fail, %.
    FailingOf(PartId, f64),
}

impl Offer {
    /// As the command line writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::TimeFactor(..) => "time-factor",
            Self::TimeSpread(_) => "time-spread",
            Self::LostPlates(_) => "lost-plates",
            Self::Failing(_) => "failing",
            Self::FailingOf(..) => "failing-of-parts",
        }
    }
    /// The number.
    pub fn value(self) -> f64 {
        match self {
            Self::TimeFactor(_, v)
            | Self::TimeSpread(v)
            | Self::LostPlates(v)
            | Self::Failing(v)
            | Self::FailingOf(_, v) => v,
        }
    }
}
