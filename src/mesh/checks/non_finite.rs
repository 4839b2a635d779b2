//! Coordinates that are no numbers.

use crate::mesh::{Fault, FaultKind};

/// Triangles left out because a coordinate is no number, infinite, or beyond 1e30.
pub(in crate::mesh) fn non_finite(count: usize) -> Option<Fault> {
    Fault::counted(
        FaultKind::NonFinite,
        count,
        "1 triangle has a coordinate that is not a finite number and was left out.",
        "triangles have coordinates that are not finite numbers and were left out.",
    )
}
