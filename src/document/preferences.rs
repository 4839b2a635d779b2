//! What makes one of several equally good layouts the nicer one.

use serde::{Deserialize, Serialize};

/// A side of the bed, seen by whoever stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BedSide {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Front.
    Front,
    /// Back.
    Back,
}

impl BedSide {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Front, Self::Back];
    /// "left".
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Front => "front",
            Self::Back => "back",
        }
    }
    /// Towards it, a unit vector on the bed: (across, up).
    pub fn direction(self) -> (f64, f64) {
        match self {
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::Front => (0.0, -1.0),
            Self::Back => (0.0, 1.0),
        }
    }
}

/// How copies are spread over plates that all are needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlateSpread {
    /// Full plates, the last one as empty as possible.
    #[default]
    FullThenRest,
    /// Plates as even as the copies allow, by area.
    Even,
}

impl PlateSpread {
    /// Both.
    pub const ALL: [Self; 2] = [Self::FullThenRest, Self::Even];
    /// "full, then the rest".
    pub fn words(self) -> &'static str {
        match self {
            Self::FullThenRest => "full, then the rest",
            Self::Even => "evenly",
        }
    }
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
    fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}

/// Weights of what is preferred: 0 (does not matter), 1 (matters) to 3 (matters a lot). They never cost a copy or a plate.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Preferences {
    /// Copies near the middle of the bed, where its heat is most even. Common practice, no source.
    #[serde(default)]
    pub middle: f64,
    /// The side that copies keep away from, as a door or a draught may ask for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub away_from: Option<BedSide>,
    /// How much that side matters.
    #[serde(default)]
    pub away: f64,
    /// Tall copies at the back, out of the way of the hand and of the carriage. Common practice, no source.
    #[serde(default)]
    pub tall_back: f64,
    /// Tall copies far from one another: one that comes loose takes fewer with it. Common practice, no source.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub tall_apart: f64,
    /// Copies that grow equally high beside one another, so that the head's way is short layer after layer.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub travel: f64,
    /// How several plates are filled.
    #[serde(default, skip_serializing_if = "PlateSpread::is_usual")]
    pub spread: PlateSpread,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_zero(weight: &f64) -> bool {
    *weight == 0.0
}

impl Preferences {
    /// Nothing is preferred.
    pub fn is_none(&self) -> bool {
        [self.middle, self.tall_back, self.tall_apart, self.travel].iter().all(|w| *w <= 0.0)
            && (self.away <= 0.0 || self.away_from.is_none())
            && self.spread.is_usual()
    }
}
