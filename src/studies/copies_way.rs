//! How the copies of a plate are printed.

/// How the copies of a plate are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum CopiesWay {
    /// All together, layer by layer.
    #[default]
    Together,
    /// Each one finished before the next begins.
    InTurn,
    /// All together, and all of them twice at once by two carriages: a shifted twin.
    Twin,
}

impl CopiesWay {
    /// "together", "one after another".
    pub fn words(self) -> &'static str {
        match self {
            Self::Together => "together",
            Self::InTurn => "one after another",
            Self::Twin => "as a shifted twin",
        }
    }
}
