//! Connected shells.

use super::{
    Edges, TriMesh,
    trimesh::{bounds_of, cross, dot, sub},
};

/// Which triangle belongs to which shell. Triangles are connected over edges that two of them share; an edge with more
/// uses connects where the uses do not pair up (bodies that only touch along an edge stay apart).
#[derive(Debug, Clone)]
pub(super) struct Shells {
    /// Shell of each triangle; shells are numbered in the order of their first triangle.
    pub(super) of_triangle: Vec<u32>,
    pub(super) shells: Vec<Shell>,
}

/// One shell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shell {
    pub(super) first_triangle: usize,
    pub(super) triangles: usize,
    /// Signed volume about the middle of the mesh.
    pub(super) volume: f64,
    pub(super) bounds: [[f64; 3]; 2],
    /// No open edge.
    pub(super) closed: bool,
    /// Some triangle faces the other way than its neighbour.
    pub(super) mixed: bool,
}

impl Shells {
    /// Finds the shells. `twins` are pairs (extra triangle, the one it repeats), sorted by the first: the extra one
    /// counts for nothing but belongs to the other's shell.
    pub(super) fn of(mesh: &TriMesh, edges: &Edges, twins: &[(u32, u32)]) -> Self {
        let mut sets = Sets { parent: (0..mesh.triangles.len() as u32).collect() };
        for &(extra, original) in twins {
            sets.unite(extra as usize, original as usize);
        }
        let is_extra = |t: usize| !twins.is_empty() && twins.binary_search_by_key(&(t as u32), |p| p.0).is_ok();
        let mut open_or_mixed: Vec<(u32, bool)> = Vec::new();
        edges.for_each(|_, _, all| {
            let kept: Vec<_>;
            let uses = if all.len() > 2 && !twins.is_empty() {
                kept = all.iter().copied().filter(|u| !is_extra(u.triangle())).collect();
                &kept[..]
            } else {
                all
            };
            let sum: i32 = uses.iter().map(|u| u.direction()).sum();
            match uses {
                [] => {}
                [one] => open_or_mixed.push((one.triangle() as u32, false)),
                [a, b] => {
                    sets.unite(a.triangle(), b.triangle());
                    if sum != 0 {
                        open_or_mixed.push((a.triangle() as u32, true));
                    }
                }
                [first, rest @ ..] => {
                    if sum != 0 {
                        for u in rest {
                            sets.unite(first.triangle(), u.triangle());
                        }
                    }
                    if uses.len() % 2 == 1 {
                        open_or_mixed.push((first.triangle() as u32, false));
                    }
                }
            }
        });
        let mut number = vec![u32::MAX; mesh.triangles.len()];
        let mut shells: Vec<Shell> = Vec::new();
        let of_triangle: Vec<u32> = (0..mesh.triangles.len())
            .map(|t| {
                let root = sets.root(t);
                if number[root] == u32::MAX {
                    number[root] = shells.len() as u32;
                    shells.push(Shell {
                        first_triangle: t,
                        triangles: 0,
                        volume: 0.0,
                        bounds: bounds_of(std::iter::empty()),
                        closed: true,
                        mixed: false,
                    });
                }
                shells[number[root] as usize].triangles += 1;
                number[root]
            })
            .collect();
        for (t, mixed) in open_or_mixed {
            let s = &mut shells[of_triangle[t as usize] as usize];
            s.mixed |= mixed;
            s.closed &= mixed;
        }
        let mut found = Self { of_triangle, shells };
        found.measure(mesh);
        found
    }

    fn measure(&mut self, mesh: &TriMesh) {
        let Some(b) = mesh.bounds() else { return };
        if let [only] = &mut self.shells[..] {
            (only.volume, only.bounds) = (mesh.volume_mm3(), b);
            return;
        }
        let o = [0, 1, 2].map(|k: usize| 0.5 * (b[0][k] + b[1][k]));
        for (i, &s) in self.of_triangle.iter().enumerate() {
            let corners = mesh.corners(i);
            let shell = &mut self.shells[s as usize];
            let [p, q, r] = corners.map(|p| sub(p, o));
            shell.volume += dot(p, cross(q, r)) / 6.0;
            let grown = bounds_of(corners.into_iter().chain(shell.bounds));
            shell.bounds = if shell.bounds[0][0] > shell.bounds[1][0] { bounds_of(corners.into_iter()) } else { grown };
        }
    }
}

/// Disjoint sets with path halving; the root is the lowest member.
struct Sets {
    parent: Vec<u32>,
}

impl Sets {
    fn root(&mut self, mut i: usize) -> usize {
        while self.parent[i] as usize != i {
            self.parent[i] = self.parent[self.parent[i] as usize];
            i = self.parent[i] as usize;
        }
        i
    }
    fn unite(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b) as u32;
    }
}
