//! Conflicts: breaches of clearances, keep-outs, the bed's edge, the height limit, and of one recipe a plate.

use crate::{
    document::CopyId,
    geom::{Point, Region},
};

/// What is breached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ConflictKind {
    /// Two shadows share area. Amount: how deep.
    Overlap,
    /// Two shadows are nearer than the gap. Amount: what is missing.
    Clearance,
    /// A footing (of the first copy named) enters another part's contact. Amount: how deep.
    FootingOverlap,
    /// Two footings are nearer than the footing gap. Amount: what is missing.
    FootingClearance,
    /// A shadow or a footing leaves the bed less the edge margin. Amount: by how much.
    OffBed,
    /// As `OffBed`, of a part that does not fit this bed at any allowed rotation. Amount: by how much it is off as it lies.
    TooLarge,
    /// A shadow or a footing covers a keep-out. Amount: how deep.
    KeepOut,
    /// A footing stands where the skirt round it would leave the bed less the edge margin, or cover a keep-out; of two
    /// copies: the skirt between them would. Amount: by how much, or how deep.
    SkirtRoom,
    /// On a plate that is printed twice at once: a shadow or a footing reaches beyond the left half, into the strip between the
    /// carriages or past it. Amount: by how much.
    Half,
    /// As `Half`, of a part that does not fit one half of this bed at any allowed rotation. Amount: by how much as it lies.
    HalfTooSmall,
    /// On a plate that is printed twice at once: the skirt round a footing would reach beyond the left half. Amount: by how much.
    SkirtHalf,
    /// Higher than the machine takes, raft included. Amount: by how much.
    TooTall,
    /// Not the plate's material, colour or recipe. No amount.
    MixedRecipe,
}

/// One breach.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// What is breached.
    pub kind: ConflictKind,
    /// The copies in it, one or two.
    pub copies: Vec<CopyId>,
    /// Depth, excess or missing clearance, mm (see [`ConflictKind`]).
    pub amount_mm: f64,
    /// What to hatch, in bed millimetres; empty where nothing can be drawn.
    pub region: Region,
    /// Where to write the amount.
    pub place: Point,
    /// The keep-out's name.
    pub keep_out: Option<String>,
    /// The copy whose twin is meant, on a plate that is printed twice at once: it is one of [`Self::copies`]. Where that is
    /// the only one, and the breach takes two, the copy and its own twin are in conflict.
    pub twin: Option<CopyId>,
}

impl Conflict {
    /// True when the copy is part of it.
    pub fn involves(&self, copy: CopyId) -> bool {
        self.copies.contains(&copy)
    }
}
