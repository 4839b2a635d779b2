//! Holes in the surface.

use crate::mesh::{Fault, FaultKind};

/// Edges that belong to one triangle only.
pub(in crate::mesh) fn open_edge(count: usize) -> Option<Fault> {
    Fault::counted(
        FaultKind::OpenEdge,
        count,
        "1 edge belongs to only one triangle: the surface has a hole there.",
        "edges belong to only one triangle: the surface has holes there.",
    )
}
