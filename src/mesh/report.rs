//! What a mesh is like, and what is wrong with it.

use super::{Edges, Fault, TriMesh, bodies::Bodies, checks, shells::Shells, weld::merged};

/// The report on a mesh. Lengths and volume are in the mesh's unit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Report {
    /// Triangles after welding.
    pub triangles: usize,
    /// Connected shells.
    pub shells: usize,
    /// Bodies: shells with their cavities.
    pub bodies: usize,
    /// Edges that belong to one triangle only.
    pub open_edges: usize,
    /// True when each edge belongs to exactly two triangles.
    pub watertight: bool,
    /// Signed sum over the triangles; see [`TriMesh::volume_mm3`].
    pub volume_mm3: f64,
    /// Least and greatest coordinates; `None` without triangles.
    pub bounds: Option<[[f64; 3]; 2]>,
    /// What is wrong, sorted by kind, each kind once.
    pub faults: Vec<Fault>,
}

impl Report {
    /// The report with faults that were found earlier (reading, welding) put in.
    #[must_use]
    pub fn with(mut self, faults: &[Fault]) -> Self {
        self.faults.extend_from_slice(faults);
        self.faults = merged(self.faults);
        self
    }
}

/// The report on a mesh in millimetres.
pub fn report(mesh: &TriMesh) -> Report {
    report_in(mesh, &Edges::of(mesh), 1.0, None)
}

/// The report, with the mesh's edge table at hand, on a mesh whose unit is `unit_mm`, for a bed of usable width, depth
/// and height `bed_mm` where one is known.
pub fn report_in(mesh: &TriMesh, edges: &Edges, unit_mm: f64, bed_mm: Option<[f64; 3]>) -> Report {
    let (bounds, volume_mm3) = (mesh.bounds(), mesh.volume_mm3());
    let (mut open, mut crowded) = (0, 0);
    for piece in edges.fold(|n: &mut [usize; 2], _, _, uses| {
        n[0] += usize::from(uses.len() == 1);
        n[1] += usize::from(uses.len() > 2);
    }) {
        open += piece[0];
        crowded += piece[1];
    }
    let twins = checks::twins(mesh, edges);
    let shells = Shells::of(mesh, edges, &twins);
    let bodies = Bodies::of(mesh, &shells);
    let faults = [
        checks::open_edge(open),
        checks::non_manifold_edge(crowded),
        checks::flipped_shell(&shells, &bodies),
        checks::duplicate_triangle(twins.len()),
        checks::overlapping_shells(mesh, &shells, &bodies),
        checks::floating_shell(&shells),
        bounds.and_then(|b| checks::suspicious_size(b, unit_mm, bed_mm)),
    ];
    Report {
        triangles: mesh.triangles.len(),
        shells: shells.shells.len(),
        bodies: bodies.count,
        open_edges: open,
        watertight: open == 0 && crowded == 0 && !mesh.triangles.is_empty(),
        volume_mm3,
        bounds,
        faults: merged(faults.into_iter().flatten().collect()),
    }
}
