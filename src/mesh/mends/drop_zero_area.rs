//! Triangles without area.

use std::collections::HashMap;

use crate::mesh::{
    TriMesh,
    trimesh::{cross, dot, sub},
};

/// A triangle lower than this over its longest side counts as one without area, mm. Far below what any machine resolves.
pub const LEAST_HEIGHT_MM: f64 = 1e-4;
/// Rounds: the halves of a neighbour may be without area themselves.
const MOST_ROUNDS: usize = 8;

/// Triangles by their directed edges.
struct Around {
    of_edge: HashMap<(u32, u32), Vec<u32>>,
}

impl Around {
    fn of(triangles: &[[u32; 3]]) -> Self {
        let mut around = Self { of_edge: HashMap::with_capacity(triangles.len() * 3) };
        for (i, &t) in triangles.iter().enumerate() {
            around.put(t, i as u32);
        }
        around
    }
    fn put(&mut self, [a, b, c]: [u32; 3], i: u32) {
        for e in [(a, b), (b, c), (c, a)] {
            self.of_edge.entry(e).or_default().push(i);
        }
    }
    fn take(&mut self, [a, b, c]: [u32; 3], i: u32) {
        for e in [(a, b), (b, c), (c, a)] {
            if let Some(list) = self.of_edge.get_mut(&e) {
                list.retain(|&t| t != i);
            }
        }
    }
    fn along(&self, from: u32, to: u32) -> &[u32] {
        self.of_edge.get(&(from, to)).map_or(&[], Vec::as_slice)
    }
}

/// The mesh without triangles lower than `least_height` (in the mesh's unit) over their longest side, and how many went.
///
/// Such a triangle may close the surface between one long edge and two short ones. The neighbour at the long edge is then parted at the
/// corner between the short ones, so that the surface stays closed and moves by no more than that height. Where more than one neighbour
/// meets the long edge, the triangle stays.
pub fn drop_zero_area(mesh: &TriMesh, least_height: f64) -> (TriMesh, usize) {
    let flat = |t: [u32; 3]| longest_side_first(mesh, t, least_height);
    if !mesh.triangles.iter().any(|&t| flat(t).is_some()) {
        return (mesh.clone(), 0);
    }
    let mut triangles = mesh.triangles.clone();
    let mut alive = vec![true; triangles.len()];
    let mut around = Around::of(&triangles);
    let mut gone = 0;
    for _ in 0..MOST_ROUNDS {
        let mut changed = false;
        for i in 0..triangles.len() {
            let Some([p, q, r]) = Some(triangles[i]).filter(|_| alive[i]).and_then(flat) else { continue };
            let beyond: Vec<u32> = around.along(q, p).to_vec();
            // Another that runs along the same side the same way: which belongs to which is open.
            if around.along(p, q).len() > 1 || beyond.len() > 1 {
                continue;
            }
            alive[i] = false;
            around.take(triangles[i], i as u32);
            changed = true;
            gone += 1;
            if let Some(&n) = beyond.first() {
                let neighbour = triangles[n as usize];
                let d = neighbour.into_iter().find(|&v| v != p && v != q).unwrap_or(r);
                alive[n as usize] = false;
                around.take(neighbour, n);
                // Back to back with it: a fold without thickness, and both go.
                if d == r {
                    gone += 1;
                    continue;
                }
                for half in [[q, r, d], [r, p, d]] {
                    around.put(half, triangles.len() as u32);
                    triangles.push(half);
                    alive.push(true);
                }
            }
        }
        if !changed {
            break;
        }
    }
    let triangles: Vec<[u32; 3]> = triangles.into_iter().zip(alive).filter(|(_, a)| *a).map(|(t, _)| t).collect();
    let mut mended = TriMesh { vertices: mesh.vertices.clone(), triangles };
    mended.drop_unused_vertices();
    (mended, gone)
}

/// The corners of a triangle that is low, those of its longest side first.
fn longest_side_first(mesh: &TriMesh, t: [u32; 3], least_height: f64) -> Option<[u32; 3]> {
    let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
    let length = |u: [f64; 3], v: [f64; 3]| dot(sub(u, v), sub(u, v)).sqrt();
    let sides = [length(a, b), length(b, c), length(c, a)];
    let longest = (0..3).max_by(|&i, &k| sides[i].total_cmp(&sides[k]))?;
    let n = cross(sub(b, a), sub(c, a));
    let low = dot(n, n).sqrt() <= least_height * sides[longest];
    low.then(|| [t[longest], t[(longest + 1) % 3], t[(longest + 2) % 3]])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        report,
        shapes::{block, sphere},
    };

    /// A box, one edge of which has a corner in the middle on one side, and a needle that closes the gap.
    fn with_needle(off_mm: f64) -> TriMesh {
        let mut mesh = block([0.0; 3], [20.0, 10.0, 5.0]);
        let [a, b, c] = mesh.triangles[0];
        let (pa, pb) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
        mesh.vertices.push([0, 1, 2].map(|k: usize| 0.5 * (pa[k] + pb[k]) + if k == 0 { off_mm } else { 0.0 }));
        mesh.triangles[0] = [a, 8, c];
        mesh.triangles.extend([[8, b, c], [a, b, 8]]);
        mesh
    }

    #[test]
    fn a_needle_goes_and_the_surface_stays_closed() {
        for off_mm in [0.0, 5e-5] {
            let mesh = with_needle(off_mm);
            assert!(report(&mesh).watertight);
            let (mended, gone) = drop_zero_area(&mesh, LEAST_HEIGHT_MM);
            assert_eq!((gone, mended.triangles.len()), (1, 14));
            let r = report(&mended);
            assert!(r.watertight && r.faults.is_empty(), "{:?}", r.faults);
            assert!((mended.volume_mm3() - 1000.0).abs() < 0.01);
            assert!((0..14).all(|i| longest_side_first(&mended, mended.triangles[i], LEAST_HEIGHT_MM).is_none()));
        }
    }

    #[test]
    fn what_has_area_stays() {
        let ball = sphere(10.0, 20, 24);
        assert_eq!(drop_zero_area(&ball, LEAST_HEIGHT_MM), (ball, 0));
        assert_eq!(drop_zero_area(&with_needle(0.01), LEAST_HEIGHT_MM).1, 0);
    }

    #[test]
    fn of_nothing_but_needles_nothing_is_left() {
        let row: Vec<[f64; 3]> = (0..6).map(|i| [f64::from(i), 0.0, 0.0]).collect();
        let needles = TriMesh { vertices: row, triangles: vec![[0, 1, 2], [2, 1, 3], [3, 4, 5], [0, 5, 3]] };
        let (left, gone) = drop_zero_area(&needles, LEAST_HEIGHT_MM);
        assert!(left.triangles.is_empty() && left.vertices.is_empty() && gone >= 4, "{left:?}");
        assert_eq!(drop_zero_area(&TriMesh::default(), LEAST_HEIGHT_MM), (TriMesh::default(), 0));
    }

    /// Back to back: the needle's twin lies in the surface too.
    #[test]
    fn a_flat_pair_goes() {
        let mut mesh = block([0.0; 3], [20.0, 10.0, 5.0]);
        mesh.vertices.extend([[30.0, 0.0, 0.0], [31.0, 0.0, 0.0], [32.0, 0.0, 0.0]]);
        mesh.triangles.extend([[8, 9, 10], [10, 9, 8]]);
        assert_eq!(drop_zero_area(&mesh, LEAST_HEIGHT_MM), (block([0.0; 3], [20.0, 10.0, 5.0]), 2));
    }
}
