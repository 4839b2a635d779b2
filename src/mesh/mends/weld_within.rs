//! Vertices that nearly coincide.

use std::collections::HashMap;

use super::drop_duplicates;
use crate::mesh::{
    TriMesh,
    trimesh::{dot, sub},
};

/// The mesh with vertices no farther apart than `tolerance` (in the mesh's unit) made one, and how many vertices went.
///
/// Each vertex goes to the nearest one before it that stayed, so nothing moves farther than the tolerance, and chains of near vertices do
/// not run together. Triangles that lose a corner go, and so do those that then lie back to back.
pub fn weld_within(mesh: &TriMesh, tolerance: f64) -> (TriMesh, usize) {
    // So far out, no two numbers differ by as little as that.
    let reach = mesh.bounds().map_or(0.0, |b| b.iter().flatten().fold(0.0, |m: f64, c| m.max(c.abs())));
    if !(tolerance.is_finite() && tolerance > 0.0 && reach < 1e15 * tolerance) {
        return (mesh.clone(), 0);
    }
    // A cell is twice as wide as the tolerance: what is near lies in the cell, or in the nearer one beside it.
    let wide = 2.0 * tolerance;
    let cell = |p: [f64; 3]| p.map(|c| (c / wide).floor() as i64);
    let mut cells: HashMap<[i64; 3], Vec<u32>> = HashMap::new();
    let mut to: Vec<u32> = Vec::with_capacity(mesh.vertices.len());
    let mut gone = 0;
    for (v, &p) in mesh.vertices.iter().enumerate() {
        let at = cell(p);
        let mut best: Option<(f64, u32)> = None;
        let side = [0, 1, 2].map(|k: usize| if p[k] / wide - (at[k] as f64) < 0.5 { -1 } else { 1 });
        for corner in 0..8_u8 {
            let beside = [0, 1, 2].map(|k: usize| at[k] + if corner >> k & 1 == 1 { side[k] } else { 0 });
            for &other in cells.get(&beside).map_or(&[][..], Vec::as_slice) {
                let d = sub(mesh.vertices[other as usize], p);
                let far = dot(d, d).sqrt();
                if far <= tolerance && best.is_none_or(|(least, o)| (far, other) < (least, o)) {
                    best = Some((far, other));
                }
            }
        }
        if let Some((_, other)) = best {
            to.push(other);
            gone += 1;
        } else {
            to.push(v as u32);
            cells.entry(at).or_default().push(v as u32);
        }
    }
    if gone == 0 {
        return (mesh.clone(), 0);
    }
    let whole = |t: &[u32; 3]| t[0] != t[1] && t[1] != t[2] && t[2] != t[0];
    let triangles = mesh.triangles.iter().map(|t| t.map(|v| to[v as usize])).filter(whole).collect();
    let mut welded = TriMesh { vertices: mesh.vertices.clone(), triangles };
    welded.drop_unused_vertices();
    (drop_duplicates(&welded).0, gone)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        report,
        shapes::{block, soup, sphere},
    };

    /// Every triangle with corners of its own, each a few micrometres away from where it belongs.
    fn shaken(mesh: &TriMesh, by_mm: f64) -> TriMesh {
        let mut n = 0_u32;
        let shaken: Vec<[[f64; 3]; 3]> = soup(mesh)
            .into_iter()
            .map(|t| {
                t.map(|p| {
                    n += 1;
                    // Within the ball: each coordinate by less than a root of three of it.
                    [0, 1, 2].map(|k: usize| p[k] + by_mm * (f64::from(n * (k as u32 + 7) % 11) / 11.0 - 0.5))
                })
            })
            .collect();
        TriMesh::weld(&shaken).0
    }

    #[test]
    fn split_vertices_within_the_tolerance_close_the_surface() {
        let sound = block([0.0; 3], [20.0, 10.0, 5.0]);
        let torn = shaken(&sound, 0.005);
        assert!(!report(&torn).watertight);
        let (welded, gone) = weld_within(&torn, 0.01);
        let r = report(&welded);
        assert!(r.watertight && r.faults.is_empty(), "{:?}", r.faults);
        assert_eq!((welded.vertices.len(), gone), (8, torn.vertices.len() - 8));
        assert!((welded.volume_mm3() - 1000.0).abs() < 1000.0 * 0.005 * (2.0 / 5.0 + 2.0 / 10.0 + 2.0 / 20.0));
        // Too small a tolerance closes nothing.
        assert!(!report(&weld_within(&torn, 1e-5).0).watertight);
    }

    #[test]
    fn what_lies_farther_apart_stays() {
        let ball = sphere(10.0, 20, 24);
        assert_eq!(weld_within(&ball, 0.01), (ball, 0));
    }

    /// Vertices in a row, each within the tolerance of the next: none moves farther than it.
    #[test]
    fn chains_do_not_run_together() {
        let at = |i: usize| [f64::from(i as u32) * 0.8, 0.0, 0.0];
        let row = TriMesh {
            vertices: (0..10).map(at).chain([[0.0, 50.0, 0.0]]).collect(),
            triangles: (0..9).map(|i| [i, i + 1, 10]).collect(),
        };
        let (welded, gone) = weld_within(&row, 1.0);
        assert_eq!((gone, welded.vertices.len()), (5, 6));
    }

    #[test]
    fn a_body_smaller_than_the_tolerance_vanishes() {
        assert!(weld_within(&block([0.0; 3], [0.001, 0.001, 0.001]), 0.01).0.triangles.is_empty());
        for no_tolerance in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(weld_within(&block([0.0; 3], [1.0; 3]), no_tolerance).1, 0);
        }
        assert_eq!(weld_within(&block([1e29; 3], [1e28; 3]), 1e-3).1, 0);
    }
}
