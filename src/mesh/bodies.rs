//! Bodies: shells with the cavities inside them.

use std::collections::BTreeMap;

use super::{Edges, TriMesh, checks, column::Columns, shells::Shells};

/// More shells than this are not looked at pair by pair.
const MOST_SHELLS: usize = 20_000;

/// Which shells make a body together.
pub(super) struct Bodies {
    /// Body of each shell; numbered in the order of their first triangles.
    pub(super) of_shell: Vec<u32>,
    pub(super) count: usize,
    /// Shells that are cavities of a body: inside out, as they should be.
    pub(super) is_cavity: Vec<bool>,
}

impl Bodies {
    /// A shell with negative volume that lies in a shell with positive volume is its cavity; every other shell is a
    /// body.
    pub(super) fn of(mesh: &TriMesh, shells: &Shells) -> Self {
        let n = shells.shells.len();
        let mut host: Vec<usize> = (0..n).collect();
        if n > 1 && n <= MOST_SHELLS {
            find_hosts(mesh, shells, &mut host);
        }
        let is_cavity: Vec<bool> = host.iter().enumerate().map(|(i, &h)| i != h).collect();
        let mut number = vec![u32::MAX; n];
        let mut count = 0;
        let of_shell = (0..n)
            .map(|i| {
                let h = host[i];
                if number[h] == u32::MAX {
                    number[h] = count;
                    count += 1;
                }
                number[h]
            })
            .collect();
        Self { of_shell, count: count as usize, is_cavity }
    }
}

/// Triangles of each shell.
pub(super) fn members(shells: &Shells) -> Vec<Vec<u32>> {
    let mut lists: Vec<Vec<u32>> = shells.shells.iter().map(|s| Vec::with_capacity(s.triangles)).collect();
    for (t, &s) in shells.of_triangle.iter().enumerate() {
        lists[s as usize].push(t as u32);
    }
    lists
}

fn find_hosts(mesh: &TriMesh, shells: &Shells, host: &mut [usize]) {
    let extent = |i: usize| {
        let b = shells.shells[i].bounds;
        (0..3).map(|k| b[1][k] - b[0][k]).product::<f64>()
    };
    // Possible hosts, smallest box first: the innermost one wins.
    let mut solids: Vec<usize> = (0..host.len()).filter(|&i| shells.shells[i].volume > 0.0).collect();
    solids.sort_by(|&a, &b| extent(a).total_cmp(&extent(b)));
    let holes: Vec<usize> = (0..host.len()).filter(|&i| shells.shells[i].volume < 0.0).collect();
    if holes.is_empty() || solids.is_empty() {
        return;
    }
    let lists = members(shells);
    let mut grids: BTreeMap<usize, Columns<'_>> = BTreeMap::new();
    for &hole in &holes {
        let h = &shells.shells[hole];
        let point = mesh.corners(h.first_triangle)[0];
        for &solid in &solids {
            let s = &shells.shells[solid];
            let holds = (0..3).all(|k| s.bounds[0][k] <= h.bounds[0][k] && h.bounds[1][k] <= s.bounds[1][k]);
            if !holds {
                continue;
            }
            let grid = grids.entry(solid).or_insert_with(|| Columns::new(mesh, &lists[solid]));
            if grid.winding(point) != 0 {
                host[hole] = solid;
                break;
            }
        }
    }
}

/// The mesh's bodies, each a mesh of its own, in the order of their first triangles: connected shells; a cavity stays
/// with the body round it. Triangles that are connected to nothing come as bodies too.
pub fn split_bodies(mesh: &TriMesh) -> Vec<TriMesh> {
    let edges = Edges::of(mesh);
    let shells = Shells::of(mesh, &edges, &checks::twins(mesh, &edges));
    let bodies = Bodies::of(mesh, &shells);
    parts(mesh, &shells, &bodies)
}

/// The bodies as meshes.
pub(super) fn parts(mesh: &TriMesh, shells: &Shells, bodies: &Bodies) -> Vec<TriMesh> {
    if bodies.count <= 1 {
        return if mesh.triangles.is_empty() { Vec::new() } else { vec![mesh.clone()] };
    }
    let mut parts: Vec<TriMesh> = vec![TriMesh::default(); bodies.count];
    // A vertex may serve several bodies that touch there.
    let mut number: Vec<(u32, u32)> = vec![(u32::MAX, 0); mesh.vertices.len()];
    let mut order: Vec<u32> = (0..mesh.triangles.len() as u32).collect();
    let body = |t: u32| bodies.of_shell[shells.of_triangle[t as usize] as usize];
    order.sort_by_key(|&t| body(t));
    for t in order {
        let b = body(t);
        let part = &mut parts[b as usize];
        let corners = mesh.triangles[t as usize].map(|v| {
            let n = &mut number[v as usize];
            if n.0 != b {
                *n = (b, part.vertices.len() as u32);
                part.vertices.push(mesh.vertices[v as usize]);
            }
            n.1
        });
        part.triangles.push(corners);
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, moved, sphere, together, torus};

    fn volumes(mesh: &TriMesh) -> Vec<f64> {
        split_bodies(mesh).iter().map(|b| b.volume_mm3().round()).collect()
    }

    #[test]
    fn bodies_come_in_the_order_of_the_file() {
        let (a, b) = (block([0.0; 3], [1.0, 2.0, 3.0]), block([5.0, 0.0, 0.0], [2.0, 2.0, 2.0]));
        assert_eq!(volumes(&together(&a, &b)), [6.0, 8.0]);
        assert_eq!(volumes(&together(&b, &a)), [8.0, 6.0]);
        assert_eq!(split_bodies(&a), std::slice::from_ref(&a));
        assert!(split_bodies(&TriMesh::default()).is_empty());
    }

    #[test]
    fn a_cavity_stays_with_the_body_round_it() {
        let mut hole = block([2.0; 3], [4.0, 4.0, 4.0]);
        hole.turn_inside_out();
        let hollow = together(&block([0.0; 3], [10.0, 10.0, 10.0]), &hole);
        assert_eq!(volumes(&hollow), [936.0]);
        // A loose body in the cavity is one of its own; so is the hollow body's neighbour.
        let with_ball = together(&hollow, &block([3.0; 3], [1.0, 1.0, 1.0]));
        assert_eq!(volumes(&together(&with_ball, &moved(&hole, [50.0, 0.0, 0.0]))), [936.0, 1.0, -64.0]);
    }

    #[test]
    fn the_eye_of_a_ring_is_not_inside_it() {
        let mut ball = sphere(2.0, 10, 12);
        ball.turn_inside_out();
        assert_eq!(split_bodies(&together(&torus(20.0, 5.0, 30, 40), &ball)).len(), 2);
        assert_eq!(split_bodies(&together(&torus(20.0, 5.0, 30, 40), &moved(&ball, [20.0, 0.0, 0.0]))).len(), 1);
    }

    #[test]
    fn bodies_that_touch_along_an_edge_are_two() {
        let (a, b) = (block([0.0; 3], [1.0, 1.0, 1.0]), block([1.0, 1.0, 0.0], [1.0, 1.0, 1.0]));
        let soup: Vec<_> = crate::mesh::shapes::soup(&together(&a, &b));
        let welded = TriMesh::weld(&soup).0;
        assert_eq!(welded.vertices.len(), 14);
        assert_eq!(volumes(&welded), [1.0, 1.0]);
    }
}
