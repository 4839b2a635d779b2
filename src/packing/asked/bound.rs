//! What no layout can beat.

use serde::Serialize;

/// Which argument gives a bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoundKind {
    /// Areas of the grown parts against the grown room.
    ByArea,
    /// Density of the least circumscribed hexagon of the grown part (convex parts, rectangular beds).
    ByHexagon,
    /// Density of the regular pentagon, the highest there is: (5 − √5)/3 (Hales & Kusner 2016).
    ByPentagon,
    /// Oler's inequality on inscribed circles.
    ByCircle,
    /// The part is wider or longer than the room.
    BySize,
    /// One-dimensional bin bounds over areas.
    ByBinArea,
    /// Each plate's own bound on copies.
    ByPlate,
}

impl BoundKind {
    /// In words: "by area".
    pub fn words(self) -> &'static str {
        match self {
            Self::ByArea => "by area",
            Self::ByHexagon => "by hexagon",
            Self::ByPentagon => "by pentagon",
            Self::BySize => "by size",
            Self::ByCircle => "by circle",
            Self::ByBinArea => "by area over plates",
            Self::ByPlate => "by plate",
        }
    }
}

/// A bound with its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Bound {
    /// Which argument gave it.
    pub kind: BoundKind,
    /// Copies (upper bound) or plates (lower bound).
    pub value: u64,
}
