//! What one copy that fails takes with it.

/// What one copy that fails takes with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Spoils {
    /// Itself alone.
    Copy,
    /// Itself and the copies that it would strike or drag along.
    #[default]
    Reach,
    /// The whole plate.
    Plate,
}

impl Spoils {
    /// All, the least harmful first.
    pub const ALL: [Self; 3] = [Self::Copy, Self::Reach, Self::Plate];

    /// "that copy", "the copies within reach", "the plate": after "a failure spoils".
    pub fn words(self) -> &'static str {
        match self {
            Self::Copy => "that copy",
            Self::Reach => "the copies within reach",
            Self::Plate => "the plate",
        }
    }
    /// One word for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::Copy => "copy",
            Self::Reach => "reach",
            Self::Plate => "plate",
        }
    }
}
