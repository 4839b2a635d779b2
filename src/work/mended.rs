//! A part's mesh put right.

use std::sync::Arc;

use super::{
    Loaded,
    mending::{mended, would_help},
};
use crate::{
    document::Mend,
    mesh::{self, Fault, FaultKind, Report, TriMesh},
};

/// A part's mesh with its mends.
#[derive(Debug, Clone)]
pub struct Mended {
    /// Its triangles, in file coordinates; none where nothing is left.
    pub mesh: Arc<TriMesh>,
    /// What is noticed about it now, and what of its file was.
    pub report: Report,
    /// How much each mend changed: triangles, or vertices of a weld. 0 where it did nothing.
    pub changed: Vec<usize>,
    /// What would help further.
    pub would_help: Vec<Mend>,
}

impl Mended {
    /// Mends a body of an object, or all of it. `unit_mm` is the unit of its coordinates.
    pub fn new(loaded: &Loaded, body: Option<u32>, list: &[Mend], unit_mm: f64) -> Self {
        let whole = loaded.body(body);
        let mut changed = Vec::with_capacity(list.len());
        let mut mesh: Option<TriMesh> = None;
        for &mend in list {
            let (next, count) = mended(mesh.as_ref().unwrap_or(&whole), mend, unit_mm);
            changed.push(count);
            if count > 0 {
                mesh = Some(next);
            }
        }
        let mesh = mesh.map_or(whole, Arc::new);
        // What was left out while reading, and what the file's bytes are like, no mend changes.
        let of_file = |f: &&Fault| {
            matches!(
                f.kind,
                FaultKind::NonFinite | FaultKind::TrailingBytes | FaultKind::CountMismatch | FaultKind::CrossingFace
            )
        };
        let faults: Vec<Fault> = loaded.report.faults.iter().filter(of_file).cloned().collect();
        let report = mesh::report_in(&mesh, &mesh::Edges::of(&mesh), unit_mm, None).with(&faults);
        let would_help = would_help(&mesh, &report, unit_mm);
        Self { mesh, report, changed, would_help }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        mesh::shapes::{block, soup, sphere},
        work::read_file,
    };

    /// A mesh as an ASCII STL file holds it.
    fn filed(mesh: &TriMesh) -> Arc<Loaded> {
        use std::fmt::Write as _;
        let mut text = String::from("solid a\n");
        for t in soup(mesh) {
            text.push_str("facet normal 0 0 0\nouter loop\n");
            for [x, y, z] in t {
                writeln!(text, "vertex {x} {y} {z}").expect("a string takes it");
            }
            text.push_str("endloop\nendfacet\n");
        }
        text.push_str("endsolid a\n");
        read_file("a.stl", text.as_bytes()).expect("it is a mesh").objects[0].1.clone()
    }

    #[test]
    fn a_sound_mesh_needs_nothing() {
        let loaded = filed(&block([0.0; 3], [20.0, 10.0, 5.0]));
        assert_eq!(loaded.would_help, []);
        let mended = Mended::new(&loaded, None, &[Mend::FlipInsideOut, Mend::DropZeroArea, Mend::WeldUm(10)], 1.0);
        assert_eq!(mended.changed, [0, 0, 0]);
        assert!(Arc::ptr_eq(&mended.mesh, &loaded.mesh), "an untouched mesh is shared");
    }

    #[test]
    fn what_would_help_helps() {
        let mut broken = block([0.0; 3], [20.0, 10.0, 5.0]);
        broken.turn_inside_out();
        broken.triangles.push(broken.triangles[5]);
        let loaded = filed(&broken);
        assert_eq!(loaded.would_help, [Mend::DropDuplicates, Mend::FlipInsideOut]);
        let mended = Mended::new(&loaded, None, &loaded.would_help, 1.0);
        assert_eq!((mended.changed, mended.mesh.volume_mm3()), (vec![1, 12], 1000.0));
        assert!(mended.report.faults.is_empty() && mended.would_help.is_empty(), "{:?}", mended.report.faults);
    }

    #[test]
    fn the_smallest_weld_that_closes_the_surface() {
        let mut torn = block([0.0; 3], [20.0, 10.0, 5.0]);
        let corner = torn.vertices[torn.triangles[0][0] as usize];
        torn.triangles[0][0] = torn.vertices.len() as u32;
        torn.vertices.push([corner[0] + 0.004, corner[1], corner[2]]);
        let loaded = filed(&torn);
        assert_eq!(loaded.would_help, [Mend::WeldUm(5)]);
        assert!(Mended::new(&loaded, None, &[Mend::WeldUm(5)], 1.0).report.watertight);
        // In inches the same gap is a tenth of a millimetre.
        assert!(!Mended::new(&loaded, None, &[Mend::WeldUm(5)], 25.4).report.watertight);
        // A true hole is closed by none.
        let mut hole = sphere(10.0, 10, 12);
        hole.triangles.pop();
        assert_eq!(filed(&hole).would_help, []);
    }

    #[test]
    fn where_nothing_is_left() {
        let loaded = filed(&block([0.0; 3], [0.0005, 0.0005, 0.0005]));
        let mended = Mended::new(&loaded, None, &[Mend::WeldUm(10), Mend::FlipInsideOut], 1.0);
        assert!(mended.mesh.triangles.is_empty() && mended.report.volume_mm3 == 0.0 && mended.report.bounds.is_none());
        // Nor is a body that is not there.
        assert_eq!(Mended::new(&loaded, None, &[Mend::KeepBody(9)], 1.0).changed, [0]);
    }
}
