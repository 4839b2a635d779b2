//! Clearances that hold for the whole job.

use serde::{Deserialize, Serialize};

/// Clearances, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Margins {
    /// Least distance between two copies' shadows.
    pub gap_mm: f64,
    /// Least distance of a shadow or a footing from the bed's edge.
    pub edge_mm: f64,
    /// Least distance between two copies' footings.
    pub footing_gap_mm: f64,
    /// Footings of neighbours may run into each other (but never into another part's contact).
    pub footings_may_merge: bool,
    /// How far a drawn or grown outline may exceed the true one.
    pub tolerance_mm: f64,
}

impl Default for Margins {
    fn default() -> Self {
        Self { gap_mm: 3.0, edge_mm: 0.0, footing_gap_mm: 0.0, footings_may_merge: false, tolerance_mm: 0.01 }
    }
}
