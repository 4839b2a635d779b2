//! Margin rings.

use crate::geom::Region;

/// The drawn rings round a copy, in bed millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Rings {
    /// The contact grown by the footing's width; the contact itself where bare.
    pub footing: Region,
    /// The shadow grown by half the gap.
    pub gap_ring: Region,
}
