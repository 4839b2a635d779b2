//! Flat faces of the convex hull.

use rayon::prelude::*;

use super::{
    TriMesh,
    quickhull::faces,
    trimesh::{cross, dot, sub},
};
use crate::geom::{Point, hull::convex_hull, moments};

/// A flat face of a mesh's convex hull: what it can be laid on.
#[derive(Debug, Clone, PartialEq)]
pub struct HullFace {
    /// Unit normal, out of the hull.
    pub normal: [f64; 3],
    /// Area in square units of the mesh.
    pub area_mm2: f64,
    /// Centroid.
    pub centre: [f64; 3],
    /// Corners, counter-clockwise from outside.
    pub outline: Vec<[f64; 3]>,
}

/// Most faces returned.
const MOST_FACES: usize = 64;
/// Triangles of the hull that are looked at as seeds of faces.
const MOST_SEEDS: usize = 4_000;
/// Vertices this share of the size below a face still belong to it.
const FLATNESS: f64 = 1e-5;
/// Facets within this angle (radians) of a larger one that lies in the same plane are part of it.
const SAME_ANGLE: f64 = 2e-3;

/// Flat faces of the convex hull, largest first, at most 64. A face holds every vertex within 1e-5 of the mesh's size
/// of its plane. Meshes of many vertices are first reduced to a hull that is true to 1e-4 of the size, so the faces of a
/// finely rounded surface are a selection; normals and areas of faces that are really flat are exact to that 1e-5.
/// A flat mesh has two faces; a line or nothing has none.
pub fn hull_faces(mesh: &TriMesh) -> Vec<HullFace> {
    hull(mesh).faces
}

/// A mesh's convex hull.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hull {
    /// Its flat faces, see [`hull_faces`].
    pub faces: Vec<HullFace>,
    /// Its corners; no vertex of the mesh lies farther outside than 1e-4 of its size (1e-6 where it has no more than 5 000).
    pub corners: Vec<[f64; 3]>,
}

/// The convex hull and its flat faces.
pub fn hull(mesh: &TriMesh) -> Hull {
    let Some(b) = mesh.bounds() else { return Hull::default() };
    let middle = [0, 1, 2].map(|k: usize| 0.5 * (b[0][k] + b[1][k]));
    let points: Vec<[f64; 3]> = mesh.vertices.par_iter().map(|&p| sub(p, middle)).collect();
    let size = (0..3).map(|k| b[1][k] - b[0][k]).fold(0.0, f64::max);
    let tolerance = size * if points.len() > 5_000 { 1e-4 } else { 1e-6 };
    let mut hull = faces(&points, tolerance);
    let mut ids: Vec<usize> = hull.iter().flat_map(|f| f.corners).collect();
    ids.sort_unstable();
    ids.dedup();
    let is_flat = hull.len() < 4;
    let corners: Vec<[f64; 3]> = ids.into_iter().map(|i| mesh.vertices[i]).collect();
    hull.sort_by(|a, b| b.area.total_cmp(&a.area).then(a.corners.cmp(&b.corners)));
    hull.truncate(MOST_SEEDS);
    // Facets of one plane together: seeds in order of size, the rest joins.
    let mut groups: Vec<([f64; 3], f64, f64)> = Vec::new();
    for f in hull.iter().filter(|f| f.area > 0.0) {
        let at = dot(f.normal, points[f.corners[0]]);
        let same = groups.iter_mut().find(|(n, offset, _)| {
            let turned = cross(*n, f.normal);
            dot(*n, f.normal) > 0.0
                && dot(turned, turned) < SAME_ANGLE * SAME_ANGLE
                && f.corners.iter().all(|&c| (dot(*n, points[c]) - offset).abs() <= FLATNESS.max(1e-4) * size)
        });
        match same {
            Some(group) => group.2 += f.area,
            None => groups.push((f.normal, at, f.area)),
        }
    }
    groups.sort_by(|a, b| b.2.total_cmp(&a.2));
    groups.truncate(MOST_FACES);
    let runs: Vec<Span> = points.par_chunks(RUN).map(Span::of).collect();
    let mut found: Vec<HullFace> =
        groups.par_iter().filter_map(|(normal, ..)| face(&points, &runs, *normal, size, middle)).collect();
    found.sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
    // Of a flat mesh there are two triangles only; its faces hold all of it.
    let corners = if is_flat { found.iter().flat_map(|f| f.outline.iter().copied()).collect() } else { corners };
    Hull { faces: found, corners }
}

/// Successive points with their box.
const RUN: usize = 1024;

/// The box round a run of points.
struct Span {
    least: [f64; 3],
    most: [f64; 3],
}

impl Span {
    fn of(points: &[[f64; 3]]) -> Self {
        let (mut least, mut most) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for p in points {
            for k in 0..3 {
                (least[k], most[k]) = (least[k].min(p[k]), most[k].max(p[k]));
            }
        }
        Self { least, most }
    }
    /// No point of it lies farther along; rounding is monotone, so that not even the last bit is missed.
    fn reach(&self, along: [f64; 3]) -> f64 {
        dot(along, [0, 1, 2].map(|k: usize| if along[k] >= 0.0 { self.most[k] } else { self.least[k] }))
    }
}

/// The face in direction `normal`: the hull in the plane of all vertices that lie in the support plane.
fn face(points: &[[f64; 3]], runs: &[Span], normal: [f64; 3], size: f64, middle: [f64; 3]) -> Option<HullFace> {
    // Most runs lie clear below the plane.
    let reach: Vec<f64> = runs.iter().map(|r| r.reach(normal)).collect();
    let above = |least: f64| {
        let near = points.chunks(RUN).zip(&reach).filter(move |(_, reach)| **reach >= least);
        near.flat_map(|(run, _)| run.iter().copied())
    };
    let highest = |least: f64| above(least).map(|p| dot(normal, p)).fold(f64::NEG_INFINITY, f64::max);
    // The run that may reach highest says what the others have to reach.
    let top = highest(highest(reach.iter().copied().fold(f64::NEG_INFINITY, f64::max)));
    // Axes of the plane: u × v = normal.
    let helper = if normal[0].abs() < 0.6 { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] };
    let u = cross(helper, normal);
    let length = dot(u, u).sqrt();
    let u = u.map(|c| c / length);
    let v = cross(normal, u);
    let lowest = top - FLATNESS * size;
    let in_plane = above(lowest).filter(|&p| dot(normal, p) >= lowest).map(|p| Point::new(dot(u, p), dot(v, p)));
    let outline = convex_hull(in_plane);
    let region = crate::geom::Region::from(crate::geom::Polygon::simple(outline.clone()));
    let m = moments::moments(&region);
    let back = |p: Point| [0, 1, 2].map(|k: usize| middle[k] + u[k] * p.x + v[k] * p.y + normal[k] * top);
    (outline.len() >= 3 && m.area > 0.0).then(|| HullFace {
        normal,
        area_mm2: m.area,
        centre: back(m.centroid),
        outline: outline.iter().map(|&p| back(p)).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, cone, prism, sphere, star, tetrahedron, tilted, turned};

    fn areas(mesh: &TriMesh) -> Vec<f64> {
        hull_faces(mesh).iter().map(|f| (f.area_mm2 * 1e6).round() / 1e6).collect()
    }

    #[test]
    fn a_box_has_six_faces() {
        let b = block([1.0, 2.0, 3.0], [20.0, 10.0, 5.0]);
        assert_eq!(areas(&b), [200.0, 200.0, 100.0, 100.0, 50.0, 50.0]);
        let faces = hull_faces(&b);
        let up = faces.iter().find(|f| f.normal[2] > 0.5).map(|f| (f.centre, f.outline.len()));
        assert_eq!(up.map(|u| u.1), Some(4));
        assert!(up.is_some_and(|(c, _)| sub(c, [11.0, 7.0, 8.0]).iter().all(|d| d.abs() < 1e-9)));
        assert_eq!(areas(&tilted(&b, 0.7, -0.4)), [200.0, 200.0, 100.0, 100.0, 50.0, 50.0]);
    }

    #[test]
    fn a_tetrahedron_and_a_cone() {
        let slanted = 100.0 * 3.0_f64.sqrt() / 2.0;
        assert_eq!(areas(&tetrahedron(10.0)), [(slanted * 1e6).round() / 1e6, 50.0, 50.0, 50.0]);
        let c = hull_faces(&cone(10.0, 30.0, 60));
        assert!(
            c[0].normal[2] < -0.999_999 && (c[0].area_mm2 - 30.0 * 100.0 * (6.0_f64).to_radians().sin()).abs() < 1e-6
        );
    }

    /// A star prism lies on its two star faces (hull: a decagon or so) or its sides; arms' inner corners do not matter.
    #[test]
    fn a_star_prism_lies_on_its_hull() {
        let faces = hull_faces(&prism(&star(6, 20.0, 8.0), 5.0));
        assert_eq!(faces.len(), 8);
        let hexagon = 1.5 * 3.0_f64.sqrt() * 400.0;
        assert!((faces[0].area_mm2 - hexagon).abs() < 1e-6 && (faces[1].area_mm2 - hexagon).abs() < 1e-6);
        assert!(faces[2..].iter().all(|f| (f.area_mm2 - 100.0).abs() < 1e-6));
    }

    #[test]
    fn many_vertices_and_flat_ends() {
        // A drum of 20 000 vertices.
        let profile: Vec<[f64; 2]> = std::iter::once([0.0, 0.0])
            .chain((0..40).map(|i| [10.0, f64::from(i) * 0.5]))
            .chain([[0.0, 19.5]])
            .collect();
        let faces = hull_faces(&turned(&profile, 500));
        let end = 250.0 * 100.0 * (std::f64::consts::TAU / 500.0).sin();
        assert!(faces[..2].iter().all(|f| f.normal[2].abs() > 0.999_999 && (f.area_mm2 - end).abs() < 1e-3));
        assert!(faces.len() <= 64);
        // A fine sphere: bounded, no panic.
        assert!(!hull_faces(&sphere(10.0, 150, 200)).is_empty());
    }

    /// Runs of points answer as all points do: a sphere of many runs, in directions of no symmetry.
    #[test]
    fn faces_by_runs_are_those_of_all_points() {
        let points = tilted(&sphere(10.0, 60, 80), 0.3, 0.9).vertices;
        let runs: Vec<Span> = points.chunks(RUN).map(Span::of).collect();
        // Boxes of everything pass no run over.
        let all_of_it: Vec<Span> = runs.iter().map(|_| Span::of(&points)).collect();
        assert!(runs.len() > 3);
        for normal in [[0.6, 0.0, 0.8], [-0.48, 0.6, 0.64], [0.0, -1.0, 0.0]] {
            // Coarse enough for a face of several corners.
            let by = |runs: &[Span]| face(&points, runs, normal, 1e4, [0.0; 3]);
            let all = points.iter().map(|&p| dot(normal, p)).fold(f64::NEG_INFINITY, f64::max);
            let asked = by(&runs);
            assert!(asked.as_ref().is_some_and(|f| (dot(f.centre, normal) - all).abs() < 1e-9), "{asked:?}");
            assert_eq!(asked, by(&all_of_it));
        }
    }

    #[test]
    fn corners_of_a_box_with_a_dent() {
        let mut dented = block([0.0; 3], [20.0, 10.0, 5.0]);
        dented.vertices.push([10.0, 5.0, 2.0]);
        let hull = hull(&dented);
        assert_eq!((hull.faces.len(), hull.corners.len()), (6, 8));
        assert_eq!(super::hull(&TriMesh::default()), Hull::default());
    }

    #[test]
    fn flat_thin_and_empty_meshes() {
        let flat = TriMesh::weld(&[[[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]]]).0;
        assert_eq!(areas(&flat), [50.0, 50.0]);
        assert!(hull_faces(&TriMesh::default()).is_empty());
        let line = TriMesh { vertices: vec![[0.0; 3], [1.0, 1.0, 1.0], [2.0, 2.0, 2.0]], triangles: vec![[0, 1, 2]] };
        assert!(hull_faces(&line).is_empty());
    }

    /// Every point lies below every face, on random clouds: the hull is one, and nothing hangs.
    #[test]
    fn clouds() {
        let mut state = 1_u64;
        let mut random = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64 - 0.5
        };
        for n in [4, 5, 8, 30, 300, 6000] {
            let points: Vec<[f64; 3]> = (0..n).map(|_| [random(), random(), (random() * 8.0).round() / 8.0]).collect();
            let all = faces(&points, 1e-6);
            assert!(!all.is_empty(), "{n} points");
            for f in all {
                let top = points.iter().map(|&p| dot(f.normal, p)).fold(f64::NEG_INFINITY, f64::max);
                assert!(top <= dot(f.normal, points[f.corners[0]]) + 1e-5, "{n} points");
            }
        }
    }
}
