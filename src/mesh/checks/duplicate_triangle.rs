//! Triangles that are there more than once.

use crate::mesh::{Edges, Fault, FaultKind, TriMesh};

/// Triangles that repeat an earlier one, with that one; sorted by the first of each pair. Facing does not matter, but
/// two triangles that face away from each other and share no edge with a third are a flat shell and not found here.
pub(in crate::mesh) fn twins(mesh: &TriMesh, edges: &Edges) -> Vec<(u32, u32)> {
    // A repeated triangle crowds its edges: only those with more than two uses, or two of one direction, matter.
    let mut suspects: Vec<u32> = edges
        .fold(|found: &mut Vec<u32>, _, _, uses| {
            if uses.len() > 2 || (uses.len() == 2 && uses[0].direction() == uses[1].direction()) {
                found.extend(uses.iter().map(|u| u.triangle() as u32));
            }
        })
        .concat();
    suspects.sort_unstable();
    suspects.dedup();
    let corners = |t: u32| {
        let mut c = mesh.triangles[t as usize];
        c.sort_unstable();
        c
    };
    suspects.sort_by_key(|&t| (corners(t), t));
    let mut twins: Vec<(u32, u32)> = suspects
        .chunk_by(|&a, &b| corners(a) == corners(b))
        .flat_map(|same| same[1..].iter().map(|&extra| (extra, same[0])))
        .collect();
    twins.sort_unstable();
    twins
}

/// Counts them.
pub(in crate::mesh) fn duplicate_triangle(count: usize) -> Option<Fault> {
    Fault::counted(FaultKind::DuplicateTriangle, count, "1 triangle repeats another one.", "triangles repeat others.")
}
