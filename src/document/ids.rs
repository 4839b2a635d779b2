//! Typed ids. Numbers are given once by [`super::Job`] and never used again.

use serde::{Deserialize, Serialize};

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub u32);
    };
}

id!(/// A machine.
    MachineId);
id!(/// A material.
    MaterialId);
id!(/// A recipe.
    RecipeId);
id!(/// A spool.
    SpoolId);
id!(/// A part: an order line.
    PartId);
id!(/// A plate.
    PlateId);
id!(/// A copy.
    CopyId);
id!(/// An outcome in the tally.
    OutcomeId);

/// A mesh: SHA-256 of the file's bytes in hex, `#`, the object's index in the file.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct MeshId(pub String);

impl MeshId {
    /// The id of object `index` in a file with this hash.
    pub fn new(sha256: &str, index: usize) -> Self {
        Self(format!("{sha256}#{index}"))
    }
    /// The file's hash.
    pub fn sha256(&self) -> &str {
        self.0.split('#').next().unwrap_or_default()
    }
    /// The object's index in the file.
    pub fn index(&self) -> usize {
        self.0.rsplit_once('#').and_then(|(_, n)| n.parse().ok()).unwrap_or(0)
    }
}
