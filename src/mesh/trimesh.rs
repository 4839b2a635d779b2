//! Welded triangles.

use rayon::prelude::*;

/// A triangle mesh with shared vertices. Coordinates are finite; each triangle has three different indices in range.
/// It need not be closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriMesh {
    /// Vertices, in the mesh's own unit.
    pub vertices: Vec<[f64; 3]>,
    /// Triangles, counter-clockwise from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// Triangles summed in one go; sums of fixed pieces are added in order, so that results never depend on threads.
pub(super) const PIECE: usize = 32_768;

impl TriMesh {
    /// Corners of triangle `i`.
    pub fn corners(&self, i: usize) -> [[f64; 3]; 3] {
        self.triangles[i].map(|v| self.vertices[v as usize])
    }
    /// Least and greatest coordinates; `None` without vertices.
    pub fn bounds(&self) -> Option<[[f64; 3]; 2]> {
        let first = *self.vertices.first()?;
        Some(self.vertices.par_chunks(PIECE).map(|piece| bounds_of(piece.iter().copied())).reduce(
            || [first, first],
            |a, b| [0, 1].map(|s| [0, 1, 2].map(|k| if s == 0 { a[0][k].min(b[0][k]) } else { a[1][k].max(b[1][k]) })),
        ))
    }
    /// Volume in cubic units of the mesh: the signed sum over all triangles of the tetrahedra they span with the
    /// origin. Negative when inside out; of a mesh with holes it depends on where the origin is.
    pub fn volume_mm3(&self) -> f64 {
        let Some(b) = self.bounds() else { return 0.0 };
        // About the middle of the box, so that far-away bodies lose no digits; then moved to the origin, which changes
        // nothing where the surface is closed (its area vectors add up to zero).
        let o = [0, 1, 2].map(|k: usize| 0.5 * (b[0][k] + b[1][k]));
        let pieces: Vec<[f64; 5]> = self
            .triangles
            .par_chunks(PIECE)
            .map(|piece| {
                let mut sum = [0.0; 5];
                for t in piece {
                    let [p, q, r] = t.map(|v| sub(self.vertices[v as usize], o));
                    let n = cross(sub(q, p), sub(r, p));
                    sum[0] += dot(p, cross(q, r));
                    sum[1] += n[0] / 2.0;
                    sum[2] += n[1] / 2.0;
                    sum[3] += n[2] / 2.0;
                    sum[4] += n[0].abs() + n[1].abs() + n[2].abs();
                }
                sum
            })
            .collect();
        let mut sum = [0.0; 5];
        for p in pieces {
            for (s, v) in sum.iter_mut().zip(p) {
                *s += v;
            }
        }
        let [six_volumes, ax, ay, az, total] = sum;
        let volume = six_volumes / 6.0;
        if ax.abs() + ay.abs() + az.abs() <= 1e-10 * total { volume } else { volume + dot(o, [ax, ay, az]) / 3.0 }
    }
    /// The mesh after a linear map for row vectors (p' = p L), then moved so that its lowest point is at z = 0 and the
    /// middle of its box in plan at x = y = 0; and the move that was added. A map that mirrors (negative determinant)
    /// turns the triangles round again, so that outside stays outside.
    #[must_use]
    pub fn posed(&self, linear: &[[f64; 3]; 3]) -> (Self, [f64; 3]) {
        let l = linear;
        let mut mesh = self.mapped(|p| [0, 1, 2].map(|k| p[0] * l[0][k] + p[1] * l[1][k] + p[2] * l[2][k]));
        if dot(l[0], cross(l[1], l[2])) < 0.0 {
            mesh.turn_inside_out();
        }
        let Some(b) = mesh.bounds() else { return (mesh, [0.0; 3]) };
        let shift = [-0.5 * (b[0][0] + b[1][0]), -0.5 * (b[0][1] + b[1][1]), -b[0][2]];
        mesh.vertices.par_iter_mut().for_each(|p| *p = [p[0] + shift[0], p[1] + shift[1], p[2] + shift[2]]);
        (mesh, shift)
    }
    /// Each vertex sent through `f`.
    #[must_use]
    pub fn mapped(&self, f: impl Fn([f64; 3]) -> [f64; 3] + Sync) -> Self {
        Self { vertices: self.vertices.par_iter().map(|&p| f(p)).collect(), triangles: self.triangles.clone() }
    }
    /// Turns every triangle round.
    pub fn turn_inside_out(&mut self) {
        self.triangles.par_iter_mut().for_each(|t| t.swap(1, 2));
    }
    /// Adds another mesh's triangles; nothing is welded between the two.
    pub fn append(&mut self, other: &Self) {
        let base = self.vertices.len() as u32;
        self.vertices.extend_from_slice(&other.vertices);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|v| v + base)));
    }
    /// The triangles that `keep` names, with the vertices they use, in the same order.
    #[must_use]
    pub fn part(&self, keep: impl Fn(usize) -> bool) -> Self {
        let triangles = (0..self.triangles.len()).filter(|&i| keep(i)).map(|i| self.triangles[i]).collect();
        let mut part = Self { vertices: self.vertices.clone(), triangles };
        part.drop_unused_vertices();
        part
    }
    pub(super) fn drop_unused_vertices(&mut self) {
        let mut number = vec![u32::MAX; self.vertices.len()];
        for t in &self.triangles {
            for &v in t {
                number[v as usize] = 0;
            }
        }
        let mut kept = 0;
        for (v, n) in number.iter_mut().enumerate() {
            if *n == 0 {
                *n = kept;
                self.vertices[kept as usize] = self.vertices[v];
                kept += 1;
            }
        }
        self.vertices.truncate(kept as usize);
        self.vertices.shrink_to_fit();
        for t in &mut self.triangles {
            *t = t.map(|v| number[v as usize]);
        }
    }
}

/// Least box of points; infinite the wrong way round when there are none.
pub(super) fn bounds_of(points: impl Iterator<Item = [f64; 3]>) -> [[f64; 3]; 2] {
    points.fold([[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]], |[lo, hi], p| {
        [[0, 1, 2].map(|k| lo[k].min(p[k])), [0, 1, 2].map(|k| hi[k].max(p[k]))]
    })
}

pub(super) fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
pub(super) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
pub(super) fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, cone, moved, sphere, tetrahedron, torus};

    /// Volumes: science notes §9 (box 20 × 10 × 5: 1000; legs of 10: 166.6667); polygon formulas for the rest.
    #[test]
    fn volumes() {
        assert_eq!(block([0.0; 3], [20.0, 10.0, 5.0]).volume_mm3(), 1000.0);
        assert!((tetrahedron(10.0).volume_mm3() - 166.666_666_666_7).abs() < 1e-9);
        // A cone over a regular n-gon: base area n/2 r² sin(2π/n), a third of it times the height.
        let n = 360.0_f64;
        let base = n / 2.0 * 100.0 * (std::f64::consts::TAU / n).sin();
        assert!((cone(10.0, 30.0, 360).volume_mm3() - base * 10.0).abs() < 1e-9);
        // Round bodies: within the share that 400 sides lose, of second order.
        let ball = 4.0 / 3.0 * std::f64::consts::PI * 1000.0;
        assert!((sphere(10.0, 400, 400).volume_mm3() / ball - 1.0).abs() < 2e-4);
        let ring = 2.0 * std::f64::consts::PI.powi(2) * 20.0 * 25.0;
        assert!((torus(20.0, 5.0, 400, 400).volume_mm3() / ring - 1.0).abs() < 2e-4);
    }

    #[test]
    fn volume_keeps_its_digits_far_away_and_turns_sign_inside_out() {
        let mut far = moved(&block([0.0; 3], [20.0, 10.0, 5.0]), [1e9, -1e9, 1e9]);
        assert!((far.volume_mm3() - 1000.0).abs() < 1e-6);
        far.turn_inside_out();
        assert!((far.volume_mm3() + 1000.0).abs() < 1e-6);
    }

    /// With a hole the sum depends on the origin; the plain formula about the origin is what others compute.
    #[test]
    fn open_volume_is_about_the_origin() {
        let mut open = block([3.0, 4.0, 5.0], [20.0, 10.0, 5.0]);
        open.triangles.truncate(10);
        let plain: f64 = (0..10)
            .map(|i| {
                let [p, q, r] = open.corners(i);
                dot(p, cross(q, r)) / 6.0
            })
            .sum();
        assert!((open.volume_mm3() - plain).abs() < 1e-9);
    }

    #[test]
    fn a_pose_puts_the_mesh_on_its_origin() {
        let quarter = [[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]];
        let (posed, shift) = block([5.0, 6.0, 7.0], [20.0, 10.0, 4.0]).posed(&quarter);
        assert_eq!(posed.bounds(), Some([[-5.0, -10.0, 0.0], [5.0, 10.0, 4.0]]));
        // (5, 6, 7) goes to (−6, 5, 7), then to the corner (5, −10, 0).
        assert_eq!(shift, [11.0, -15.0, -7.0]);
        assert_eq!(posed.volume_mm3(), 800.0);
    }

    #[test]
    fn a_mirrored_pose_keeps_the_outside_outside() {
        let (posed, _) = tetrahedron(10.0).posed(&[[-2.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 2.0]]);
        assert!((posed.volume_mm3() - 8.0 * 1000.0 / 6.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_has_no_bounds() {
        assert_eq!(TriMesh::default().bounds(), None);
        assert_eq!(TriMesh::default().volume_mm3(), 0.0);
        assert_eq!(TriMesh::default().posed(&[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]).1, [0.0; 3]);
    }
}
