//! Edges where more than two triangles meet.

use crate::mesh::{Fault, FaultKind};

/// Edges that belong to more than two triangles.
pub(in crate::mesh) fn non_manifold_edge(count: usize) -> Option<Fault> {
    Fault::counted(
        FaultKind::NonManifoldEdge,
        count,
        "1 edge belongs to more than two triangles: inside and outside are ambiguous there.",
        "edges belong to more than two triangles: inside and outside are ambiguous there.",
    )
}
