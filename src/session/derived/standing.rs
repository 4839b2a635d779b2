//! How firmly copies stand, as values.

use std::sync::Arc;

use crate::{
    document::{CopyId, Footing, PartId},
    geom::Region,
    session::derived::footing_cost::FootingCost,
    work::Judged,
};

/// Copies of one part with one footing on one plate.
#[derive(Debug, Clone)]
pub struct PartStanding {
    /// The part.
    pub part: PartId,
    /// Its footing.
    pub footing: Footing,
    /// The copies.
    pub copies: Vec<CopyId>,
    /// How firmly they stand.
    pub judged: Arc<Judged>,
    /// What the suggested footing costs beside theirs; `None` where it is the same, or not worked out yet.
    pub cost: Option<FootingCost>,
}

/// What a fall of a copy reaches, at the height of its least margin.
#[derive(Debug, Clone)]
pub struct FallOf {
    /// Everything within its height of its contact.
    pub reach: Region,
    /// Names of copies that still grow and that it would strike or drag along, nearest first.
    pub strikes: Vec<String>,
    /// Names of copies within its reach that are finished and lower than the nozzle: it would fall across them.
    pub finished: Vec<String>,
}
