//! Mends carried out, and which of them would help.

use crate::{
    document::Mend,
    mesh::{self, FaultKind, Report, TriMesh, mends},
};

/// Distances tried where a surface has gaps, µm. From far below any machine's resolution to about a tenth of a layer; common practice, no
/// source.
const WELDS_UM: [u32; 4] = [1, 5, 10, 20];

/// A mesh with one mend, and how much it changed. `unit_mm` is the unit of its coordinates.
pub(super) fn mended(mesh: &TriMesh, mend: Mend, unit_mm: f64) -> (TriMesh, usize) {
    match mend {
        Mend::FlipInsideOut => mends::flip_inside_out(mesh),
        Mend::DropZeroArea => mends::drop_zero_area(mesh, mends::LEAST_HEIGHT_MM / unit_mm),
        Mend::DropDuplicates => mends::drop_duplicates(mesh),
        Mend::WeldUm(um) => mends::weld_within(mesh, f64::from(um) / 1000.0 / unit_mm),
        Mend::KeepBody(n) => mends::keep_body(mesh, n as usize),
    }
}

/// The mends that would help a mesh with these faults, each tried. A weld is the smallest that closes every gap, or else the one that leaves
/// the fewest; one that leaves as many helps nothing, and so does one that leaves no triangle.
pub(super) fn would_help(mesh: &TriMesh, report: &Report, unit_mm: f64) -> Vec<Mend> {
    let has = |kind| report.faults.iter().any(|f| f.kind == kind);
    let helps = |mend: Mend| {
        let (next, count) = mended(mesh, mend, unit_mm);
        count > 0 && !next.triangles.is_empty()
    };
    let mut found = Vec::new();
    if has(FaultKind::DuplicateTriangle) && helps(Mend::DropDuplicates) {
        found.push(Mend::DropDuplicates);
    }
    if has(FaultKind::ZeroArea) && helps(Mend::DropZeroArea) {
        found.push(Mend::DropZeroArea);
    }
    if has(FaultKind::OpenEdge) {
        found.extend(best_weld(mesh, report.open_edges, unit_mm));
    }
    if has(FaultKind::FlippedShell) && helps(Mend::FlipInsideOut) {
        found.push(Mend::FlipInsideOut);
    }
    found
}

fn best_weld(mesh: &TriMesh, open_edges: usize, unit_mm: f64) -> Option<Mend> {
    let mut best: Option<(usize, Mend)> = None;
    for um in WELDS_UM {
        let (next, count) = mended(mesh, Mend::WeldUm(um), unit_mm);
        if count == 0 || next.triangles.is_empty() {
            continue;
        }
        let open = mesh::report(&next).open_edges;
        if open < best.map_or(open_edges, |b| b.0) {
            best = Some((open, Mend::WeldUm(um)));
        }
        if open == 0 {
            break;
        }
    }
    best.map(|b| b.1)
}
