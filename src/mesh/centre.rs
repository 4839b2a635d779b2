//! Centre of mass.

use rayon::prelude::*;

use super::{
    TriMesh,
    trimesh::{PIECE, cross, dot, sub},
};

/// Centre of mass of a solid of even density; the middle of its box where it has no volume, and `None` where it has no vertices. Of an
/// open mesh it is an approximation, kept within the box. Source: sum of the tetrahedra that the triangles span with a point.
pub fn centre_of_mass(mesh: &TriMesh) -> Option<[f64; 3]> {
    let b = mesh.bounds()?;
    let o = [0, 1, 2].map(|k: usize| 0.5 * (b[0][k] + b[1][k]));
    let pieces: Vec<[f64; 4]> = mesh
        .triangles
        .par_chunks(PIECE)
        .map(|piece| {
            let mut sum = [0.0; 4];
            for t in piece {
                let [p, q, r] = t.map(|v| sub(mesh.vertices[v as usize], o));
                let v = dot(p, cross(q, r));
                sum[3] += v;
                for k in 0..3 {
                    sum[k] += v * (p[k] + q[k] + r[k]) / 4.0;
                }
            }
            sum
        })
        .collect();
    let sum = pieces.iter().fold([0.0; 4], |s, p| [0, 1, 2, 3].map(|k| s[k] + p[k]));
    Some([0, 1, 2].map(|k| {
        let at = o[k] + sum[k] / sum[3];
        if at.is_finite() { at.clamp(b[0][k], b[1][k]) } else { o[k] }
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, cone, moved, tetrahedron, together};

    fn near(mesh: &TriMesh, asked: [f64; 3]) {
        let c = centre_of_mass(mesh).expect("a body");
        assert!(sub(c, asked).iter().all(|d| d.abs() < 1e-6), "{c:?}");
    }

    /// Science notes: box 20 × 10 × 5 at (10, 5, 2.5); legs of 10 at 2.5 each. A cone's lies a quarter up.
    #[test]
    fn worked_bodies() {
        near(&block([0.0; 3], [20.0, 10.0, 5.0]), [10.0, 5.0, 2.5]);
        near(&tetrahedron(10.0), [2.5; 3]);
        near(&cone(10.0, 40.0, 90), [0.0, 0.0, 10.0]);
        let mut inside_out = moved(&block([0.0; 3], [2.0; 3]), [1e6, 0.0, 0.0]);
        inside_out.turn_inside_out();
        near(&inside_out, [1e6 + 1.0, 1.0, 1.0]);
        near(&together(&block([0.0; 3], [2.0; 3]), &block([10.0, 0.0, 0.0], [2.0; 3])), [6.0, 1.0, 1.0]);
    }

    #[test]
    fn flat_and_empty() {
        let flat = TriMesh::weld(&[[[0.0; 3], [10.0, 0.0, 0.0], [0.0, 4.0, 0.0]]]).0;
        near(&flat, [5.0, 2.0, 0.0]);
        assert_eq!(centre_of_mass(&TriMesh::default()), None);
    }
}
