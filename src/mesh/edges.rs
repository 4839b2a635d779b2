//! Who shares which edge.

use rayon::prelude::*;

use super::TriMesh;

/// All uses of all edges, grouped by edge: the table behind report and shadow. It depends on the triangles' vertex
/// numbers alone, so it serves a mesh in every pose. 8 bytes a use, 4 a vertex.
#[derive(Debug, Clone)]
pub struct Edges {
    /// Where the uses of vertex v's edges (those on which v is the lower number) start.
    starts: Vec<u32>,
    /// Higher vertex in the upper half; triangle and direction in the lower. Sorted within each vertex.
    uses: Vec<u64>,
}

/// One triangle's use of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Use(u64);

impl Use {
    fn new(other: u32, triangle: usize, forward: bool) -> Self {
        Self(u64::from(other) << 32 | (triangle as u64) << 1 | u64::from(forward))
    }
    pub(super) fn triangle(self) -> usize {
        (self.0 as u32 >> 1) as usize
    }
    /// 1 where the triangle runs from the lower vertex number to the higher, else −1.
    pub(super) fn direction(self) -> i32 {
        if self.0 & 1 == 1 { 1 } else { -1 }
    }
}

/// Vertices looked at in one go by parallel passes.
const PIECE: usize = 8192;

impl Edges {
    /// The table of a mesh.
    pub fn of(mesh: &TriMesh) -> Self {
        let n = mesh.vertices.len();
        let half = n / 2;
        let lower = |a: u32, b: u32| a.min(b) as usize;
        let sides = |t: &[u32; 3]| [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])];
        // Two halves of the vertices, a thread each.
        let mut starts = vec![0_u32; n + 1];
        {
            let count = |counts: &mut [u32], from: usize| {
                for t in &mesh.triangles {
                    for (a, b) in sides(t) {
                        if let Some(c) = counts.get_mut(lower(a, b).wrapping_sub(from)) {
                            *c += 1;
                        }
                    }
                }
            };
            let (left, right) = starts[..n].split_at_mut(half);
            rayon::join(|| count(left, 0), || count(right, half));
        }
        let mut sum = 0;
        for s in &mut starts {
            sum += std::mem::replace(s, sum);
        }
        let mut uses = vec![0_u64; mesh.triangles.len() * 3];
        {
            let fill = |uses: &mut [u64], starts: &[u32], from: usize| {
                let base = starts[0];
                let mut next: Vec<u32> = starts[..starts.len() - 1].to_vec();
                for (i, t) in mesh.triangles.iter().enumerate() {
                    for (a, b) in sides(t) {
                        if let Some(at) = next.get_mut(lower(a, b).wrapping_sub(from)) {
                            uses[(*at - base) as usize] = Use::new(a.max(b), i, a < b).0;
                            *at += 1;
                        }
                    }
                }
                for w in starts.windows(2) {
                    uses[(w[0] - base) as usize..(w[1] - base) as usize].sort_unstable();
                }
            };
            let (left, right) = uses.split_at_mut(starts[half] as usize);
            rayon::join(|| fill(left, &starts[..=half], 0), || fill(right, &starts[half..], half));
        }
        Self { starts, uses }
    }

    /// Calls `f(lower vertex, higher vertex, uses)` for every edge, in order.
    pub(super) fn for_each(&self, f: impl FnMut(u32, u32, &[Use])) {
        self.for_each_of(0..self.starts.len() - 1, f);
    }

    fn for_each_of(&self, vertices: std::ops::Range<usize>, mut f: impl FnMut(u32, u32, &[Use])) {
        let mut buffer: Vec<Use> = Vec::with_capacity(8);
        for v in vertices {
            let of_vertex = &self.uses[self.starts[v] as usize..self.starts[v + 1] as usize];
            for edge in of_vertex.chunk_by(|a, b| a >> 32 == b >> 32) {
                buffer.clear();
                buffer.extend(edge.iter().map(|&u| Use(u)));
                f(v as u32, (edge[0] >> 32) as u32, &buffer);
            }
        }
    }

    /// Folds over all edges, pieces in parallel; the pieces' results come in order.
    pub(super) fn fold<T: Send + Default>(&self, f: impl Fn(&mut T, u32, u32, &[Use]) + Sync) -> Vec<T> {
        let n = self.starts.len() - 1;
        (0..n.div_ceil(PIECE))
            .into_par_iter()
            .map(|piece| {
                let mut t = T::default();
                self.for_each_of(piece * PIECE..((piece + 1) * PIECE).min(n), |a, b, uses| f(&mut t, a, b, uses));
                t
            })
            .collect()
    }
}
