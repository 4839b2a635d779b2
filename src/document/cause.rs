//! Why a copy came out bad.

use serde::{Deserialize, Serialize};

/// Why a copy came out bad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// It came off the bed while it grew.
    CameLoose,
    /// It fell over, or was struck by one that fell.
    TippedOver,
    /// Its corners lifted.
    Warped,
    /// The nozzle or the extruder was blocked.
    BlockedNozzle,
    /// The filament ran out.
    RanOut,
    /// The power failed, or the machine stopped.
    Power,
    /// Surface, size or strength are not good enough.
    Quality,
    /// It broke as it was taken off.
    Broken,
    /// Anything else; a note may say what.
    #[default]
    Other,
}

impl Cause {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::CameLoose,
        Self::TippedOver,
        Self::Warped,
        Self::BlockedNozzle,
        Self::RanOut,
        Self::Power,
        Self::Quality,
        Self::Broken,
        Self::Other,
    ];
    /// "came-loose": as files and the command line write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::CameLoose => "came-loose",
            Self::TippedOver => "tipped-over",
            Self::Warped => "warped",
            Self::BlockedNozzle => "blocked-nozzle",
            Self::RanOut => "ran-out",
            Self::Power => "power",
            Self::Quality => "quality",
            Self::Broken => "broken",
            Self::Other => "other",
        }
    }
    /// "came loose": as people say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::CameLoose => "came loose",
            Self::TippedOver => "tipped over",
            Self::Warped => "warped",
            Self::BlockedNozzle => "nozzle blocked",
            Self::RanOut => "filament ran out",
            Self::Power => "power failed",
            Self::Quality => "poor quality",
            Self::Broken => "broken at removal",
            Self::Other => "other cause",
        }
    }
    /// The cause of this word; blanks and hyphens are the same, capitals too.
    pub fn of_word(word: &str) -> Option<Self> {
        let plain = word.trim().to_lowercase().replace([' ', '_'], "-");
        Self::ALL.into_iter().find(|c| c.word() == plain || c.words().replace(' ', "-") == plain)
    }
    /// Does it strike the whole plate, whatever lies on it?
    pub fn is_common(self) -> bool {
        matches!(self, Self::BlockedNozzle | Self::RanOut | Self::Power)
    }
    /// Has it to do with how the copy holds to the bed?
    pub fn is_of_adhesion(self) -> bool {
        matches!(self, Self::CameLoose | Self::TippedOver | Self::Warped)
    }
}

#[cfg(test)]
mod tests {
    use super::Cause;

    #[test]
    fn words_there_and_back() {
        for cause in Cause::ALL {
            assert_eq!(Cause::of_word(cause.word()), Some(cause));
            assert_eq!(Cause::of_word(&cause.words().to_uppercase()), Some(cause));
            assert_eq!(serde_json::to_value(cause).expect("a word"), cause.word());
        }
        assert_eq!((Cause::of_word("gremlins"), Cause::of_word("")), (None, None));
    }
}
