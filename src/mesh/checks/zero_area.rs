//! Triangles without area.

use crate::mesh::{Fault, FaultKind};

/// Triangles whose corners coincide or lie on a line.
pub(in crate::mesh) fn zero_area(count: usize) -> Option<Fault> {
    Fault::counted(
        FaultKind::ZeroArea,
        count,
        "1 triangle has no area and adds nothing.",
        "triangles have no area and add nothing.",
    )
}
