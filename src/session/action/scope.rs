//! What Pack moves and Top up adds.

use crate::document::PartId;

/// Which copies Pack may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// This plate.
    Plate,
    /// Only what is selected, on this plate.
    Selection,
    /// All plates of the job.
    Job,
    /// Everything ordered and not yet placed, on the plates there are and on new ones.
    Order,
}

/// What Top up adds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TopUp {
    /// Copies of one part.
    Part(PartId),
    /// Every part of the plate's material, colour and recipe, in the order's proportion.
    Order,
}
