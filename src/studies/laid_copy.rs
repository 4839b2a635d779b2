//! A copy where a study laid it.

use crate::{
    document::{CopyId, Footing, PartId},
    geom::Placement,
};

/// A copy where a study laid it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidCopy {
    /// Of which part.
    pub part: PartId,
    /// The copy of the job; `None` for a new one.
    pub copy: Option<CopyId>,
    /// What holds it down.
    pub footing: Footing,
    /// Where.
    pub at: Placement,
}
