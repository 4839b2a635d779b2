//! The ways in which a plate is compared with itself.

use crate::document::Footing;

/// One way for a plate's copies to stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PlateVariant {
    /// As they do now, where they lie now.
    AsItIs,
    /// Each on the footing suggested for it where its margin is below 1; the others as they are.
    Suggested,
    /// All on one footing.
    All(Footing),
}

impl PlateVariant {
    /// What a person chooses from. The widths are the usual ones (common practice, no source).
    pub const CHOICES: [Self; 7] = [
        Self::AsItIs,
        Self::Suggested,
        Self::All(Footing::Bare),
        Self::All(Footing::Brim { width_mm: 3.0 }),
        Self::All(Footing::Brim { width_mm: 5.0 }),
        Self::All(Footing::Brim { width_mm: 8.0 }),
        Self::All(Footing::Raft { width_mm: 3.0 }),
    ];

    /// "as it is", "with suggested footings", "all bare", "all with brim 5 mm".
    pub fn words(self) -> String {
        match self {
            Self::AsItIs => "as it is".into(),
            Self::Suggested => "with suggested footings".into(),
            Self::All(Footing::Bare) => "all bare".into(),
            Self::All(footing) => format!("all with {}", footing.words()),
        }
    }
}
