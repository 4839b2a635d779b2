//! How often a surface winds round a point.

use super::{TriMesh, trimesh::bounds_of};

/// Triangles sorted into a grid in plan, to count those above a point.
pub(super) struct Columns<'a> {
    mesh: &'a TriMesh,
    origin: [f64; 2],
    cell: [f64; 2],
    side: usize,
    starts: Vec<u32>,
    triangles: Vec<u32>,
}

impl<'a> Columns<'a> {
    /// A grid over some triangles of the mesh.
    pub(super) fn new(mesh: &'a TriMesh, members: &[u32]) -> Self {
        let b = bounds_of(members.iter().flat_map(|&t| mesh.corners(t as usize)));
        // A triangle may fall into many cells; the side keeps the lists to a few entries a triangle.
        let side = ((members.len() as f64).sqrt() as usize / 2).clamp(1, 256);
        let origin = [b[0][0], b[0][1]];
        let cell = [0, 1].map(|k: usize| ((b[1][k] - b[0][k]) / side as f64).max(f64::MIN_POSITIVE));
        let mut grid = Self { mesh, origin, cell, side, starts: vec![0; side * side + 1], triangles: Vec::new() };
        let spans: Vec<[usize; 4]> = members
            .iter()
            .map(|&t| {
                let b = bounds_of(mesh.corners(t as usize).into_iter());
                [grid.index(b[0][0], 0), grid.index(b[1][0], 0), grid.index(b[0][1], 1), grid.index(b[1][1], 1)]
            })
            .collect();
        let cells = |s: &[usize; 4]| {
            let [x0, x1, y0, y1] = *s;
            (y0..=y1).flat_map(move |y| (x0..=x1).map(move |x| y * side + x))
        };
        for c in spans.iter().flat_map(cells) {
            grid.starts[c] += 1;
        }
        let mut sum = 0;
        for s in &mut grid.starts {
            sum += std::mem::replace(s, sum);
        }
        let mut next = grid.starts.clone();
        grid.triangles = vec![0; sum as usize];
        for (span, &t) in spans.iter().zip(members) {
            for c in cells(span) {
                grid.triangles[next[c] as usize] = t;
                next[c] += 1;
            }
        }
        grid
    }

    fn index(&self, v: f64, axis: usize) -> usize {
        (((v - self.origin[axis]) / self.cell[axis]) as usize).min(self.side - 1)
    }

    /// Winding number of the surface round `p`: signed count of the triangles straight above it. A point straight under
    /// an edge or a corner counts as moved a hair to the right, and a hair of that hair back, so that each sheet above it
    /// counts once; a closed surface always gives a whole answer, save for points on the surface. Method: simulation of
    /// simplicity, Edelsbrunner and Mücke 1990.
    pub(super) fn winding(&self, p: [f64; 3]) -> i32 {
        let cell = self.index(p[1], 1) * self.side + self.index(p[0], 0);
        let members = &self.triangles[self.starts[cell] as usize..self.starts[cell + 1] as usize];
        members.iter().map(|&t| self.crossing(t as usize, p)).sum()
    }

    fn crossing(&self, t: usize, p: [f64; 3]) -> i32 {
        let ids = self.mesh.triangles[t];
        // Twice the signed area of the edge and p, computed the same way from both sides of the edge.
        let side = |i: usize, j: usize| {
            let (lo, hi) = (ids[i].min(ids[j]), ids[i].max(ids[j]));
            let (a, b) = (self.mesh.vertices[lo as usize], self.mesh.vertices[hi as usize]);
            let v = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            // Where v is nothing, its change along x decides, then along y.
            let left = if v != 0.0 {
                v > 0.0
            } else if a[1] != b[1] {
                a[1] > b[1]
            } else {
                b[0] > a[0]
            };
            if ids[i] < ids[j] { (v, left) } else { (-v, !left) }
        };
        let ((w2, l2), (w0, l0), (w1, l1)) = (side(0, 1), side(1, 2), side(2, 0));
        if l0 != l1 || l1 != l2 {
            return 0;
        }
        let sum = w0 + w1 + w2;
        if sum == 0.0 {
            return 0;
        }
        let [a, b, c] = self.mesh.corners(t);
        let z = (w0 * a[2] + w1 * b[2] + w2 * c[2]) / sum;
        match (z > p[2], l0) {
            (false, _) => 0,
            (true, true) => 1,
            (true, false) => -1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, sphere, turned};

    fn winding(mesh: &TriMesh, p: [f64; 3]) -> i32 {
        let all: Vec<u32> = (0..mesh.triangles.len() as u32).collect();
        Columns::new(mesh, &all).winding(p)
    }

    #[test]
    fn straight_under_a_corner_and_an_edge_each_sheet_counts_once() {
        for sides in 3..40 {
            let lens = turned(&[[0.0, 0.0], [10.0, 0.0], [12.0, 3.0], [0.0, 7.0]], sides);
            assert_eq!(winding(&lens, [0.0, 0.0, 3.0]), 1, "{sides} sides");
            assert_eq!(winding(&lens, [0.0, 0.0, -1.0]), 0, "{sides} sides");
            assert_eq!(winding(&lens, [0.0, 0.0, 8.0]), 0, "{sides} sides");
            assert_eq!(winding(&sphere(5.0, 8, sides), [0.0, 0.0, 1.0]), 1, "{sides} sides");
        }
        let cube = block([0.0; 3], [4.0; 3]);
        for p in [[2.0, 2.0, 1.0], [1.0, 1.0, 3.0], [3.0, 1.0, 2.0]] {
            assert_eq!(winding(&cube, p), 1);
        }
    }
}
