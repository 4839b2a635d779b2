//! Spools: what hangs on the shelf.

use serde::{Deserialize, Serialize};

use super::{MaterialId, SpoolId};

/// What a machine notices of its filament.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sensor {
    /// Nothing.
    #[default]
    None,
    /// That there is some.
    Presence,
    /// That it moves.
    Motion,
}

impl Sensor {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::None, Self::Presence, Self::Motion];
    /// "none", "presence", "motion".
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Presence => "presence",
            Self::Motion => "motion",
        }
    }
}

/// Whether the inner end of the filament is fixed to the hub: then it never comes off and passes no sensor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TailFixed {
    /// Nobody has looked.
    #[default]
    Unknown,
    /// It is.
    Yes,
    /// It is not.
    No,
}

impl TailFixed {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Unknown, Self::Yes, Self::No];
    /// "unknown", "yes", "no".
    pub fn word(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Yes => "yes",
            Self::No => "no",
        }
    }
}

/// A spool of filament.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Spool {
    /// Its id in the job.
    pub id: SpoolId,
    /// "White 1".
    pub name: String,
    /// Its material.
    pub material: MaterialId,
    /// Its colour, in the shop's words, as plates have it.
    pub colour: String,
    /// The colour's letter on the shelf: "W".
    #[serde(default)]
    pub letter: String,
    /// Filament left on it, g.
    pub grams_left: f64,
    /// What watches its filament.
    #[serde(default)]
    pub sensor: Sensor,
    /// Is its inner end fixed to the hub?
    #[serde(default)]
    pub tail_fixed: TailFixed,
    /// How far its diameter may be off either way, mm.
    pub tolerance_mm: f64,
}

impl Spool {
    /// A full spool of a kilogram. Its tolerance: common practice, no source.
    pub fn full(id: SpoolId, name: &str, material: MaterialId, colour: &str) -> Self {
        Self {
            id,
            name: name.into(),
            material,
            colour: colour.into(),
            letter: String::new(),
            grams_left: 1000.0,
            sensor: Sensor::None,
            tail_fixed: TailFixed::Unknown,
            tolerance_mm: 0.02,
        }
    }
}
