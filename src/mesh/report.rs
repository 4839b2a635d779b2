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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        FaultKind,
        shapes::{block, moved, prism, sphere, star, tetrahedron, together, torus},
    };

    fn kinds(r: &Report) -> Vec<(FaultKind, usize)> {
        r.faults.iter().map(|f| (f.kind, f.count)).collect()
    }

    #[test]
    fn sound_meshes_have_no_faults() {
        for mesh in [
            block([0.0; 3], [20.0, 10.0, 5.0]),
            tetrahedron(10.0),
            sphere(10.0, 40, 50),
            torus(20.0, 5.0, 30, 40),
            prism(&star(7, 20.0, 8.0), 5.0),
        ] {
            let r = report(&mesh);
            assert_eq!(kinds(&r), []);
            assert!(r.watertight && r.shells == 1 && r.bodies == 1 && r.open_edges == 0);
        }
    }

    /// Science notes §9: one facet flipped, missing, repeated; all inside out.
    #[test]
    fn the_table_of_faults() {
        let sound = block([0.0; 3], [20.0, 10.0, 5.0]);
        let mut flipped = sound.clone();
        flipped.triangles[3].swap(0, 1);
        let r = report(&flipped);
        assert_eq!((kinds(&r), r.watertight), (vec![(FaultKind::FlippedShell, 1)], true));
        let mut hole = sound.clone();
        hole.triangles.pop();
        let r = report(&hole);
        assert_eq!((kinds(&r), r.watertight, r.open_edges), (vec![(FaultKind::OpenEdge, 3)], false, 3));
        let mut repeated = sound.clone();
        repeated.triangles.push(sound.triangles[5]);
        let r = report(&repeated);
        assert_eq!(kinds(&r), [(FaultKind::NonManifoldEdge, 3), (FaultKind::DuplicateTriangle, 1)]);
        assert_eq!((r.watertight, r.shells), (false, 1));
        let mut inside_out = sound.clone();
        inside_out.turn_inside_out();
        let r = report(&inside_out);
        assert_eq!((kinds(&r), r.watertight, r.volume_mm3), (vec![(FaultKind::FlippedShell, 1)], true, -1000.0));
        assert!(r.faults[0].text.contains("inside out"));
    }

    #[test]
    fn a_mesh_given_twice_over_is_one_shell() {
        let mut twice = sphere(10.0, 10, 12);
        let n = twice.triangles.len();
        twice.triangles.extend_from_within(..);
        let r = report(&twice);
        assert_eq!(r.shells, 1);
        assert!(kinds(&r).contains(&(FaultKind::DuplicateTriangle, n)));
    }

    #[test]
    fn overlapping_and_floating_bodies() {
        let b = block([0.0; 3], [10.0, 10.0, 10.0]);
        let overlapping = together(&b, &moved(&b, [5.0, 0.0, 0.0]));
        assert_eq!(kinds(&report(&overlapping)), [(FaultKind::OverlappingShells, 1)]);
        // Crossed bars: no vertex of one lies in the other.
        let crossed =
            together(&block([-9.0, -1.0, 0.0], [18.0, 2.0, 2.0]), &block([-1.0, -9.0, 0.5], [2.0, 18.0, 1.0]));
        assert_eq!(kinds(&report(&crossed)), [(FaultKind::OverlappingShells, 1)]);
        // Side by side with a common face, and a body inside another's cavity, share nothing.
        assert_eq!(kinds(&report(&together(&b, &moved(&b, [10.0, 0.0, 0.0])))), []);
        let floating = together(&b, &moved(&b, [0.0, 0.0, 20.0]));
        assert_eq!(kinds(&report(&floating)), [(FaultKind::FloatingShell, 1)]);
        let stacked = together(&b, &moved(&b, [0.0, 0.0, 10.0]));
        assert_eq!(kinds(&report(&stacked)), []);
    }

    #[test]
    fn a_cavity_is_no_fault() {
        let mut hole = block([2.0; 3], [4.0, 4.0, 4.0]);
        hole.turn_inside_out();
        let r = report(&together(&block([0.0; 3], [10.0, 10.0, 10.0]), &hole));
        assert_eq!((kinds(&r), r.shells, r.bodies, r.volume_mm3.round()), (vec![], 2, 1, 936.0));
    }

    #[test]
    fn sizes() {
        let size = |mesh: &TriMesh, bed| report_in(mesh, &Edges::of(mesh), 1.0, bed).faults;
        let small = size(&block([0.0; 3], [0.5, 0.4, 0.3]), None);
        assert_eq!(small[0].kind, FaultKind::SuspiciousSize);
        assert!(small[0].text.contains("inch") && small[0].text.contains("12.7 mm"), "{}", small[0].text);
        assert!(small[0].text.contains("metre") && small[0].text.contains("500 mm"));
        // Unit inches: half an inch is no small part.
        let b = block([0.0; 3], [0.5, 0.4, 0.3]);
        assert!(report_in(&b, &Edges::of(&b), 25.4, None).faults.is_empty());
        let bed = Some([240.0, 200.0, 190.0]);
        let large = size(&block([0.0; 3], [2540.0, 40.0, 30.0]), bed);
        assert!(large[0].text.contains("÷ 25.4: 100 mm"), "{}", large[0].text);
        // Fits when laid down.
        assert!(size(&block([0.0; 3], [20.0, 20.0, 235.0]), bed).is_empty());
        let flat = TriMesh::weld(&[[[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]]]).0;
        assert!(report(&flat).faults.iter().any(|f| f.text.contains("flat in Z")));
    }

    #[test]
    fn faults_of_reading_are_put_in() {
        let r = report(&tetrahedron(10.0)).with(&[Fault::new(FaultKind::TrailingBytes, 7, "7 bytes")]);
        assert_eq!(kinds(&r), [(FaultKind::TrailingBytes, 7)]);
        assert_eq!(report(&TriMesh::default()), Report { faults: vec![], ..Report::default() });
    }
}
