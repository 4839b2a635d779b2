//! Triangles that are there more than once.

use std::collections::BTreeMap;

use crate::mesh::TriMesh;

/// A triangle's three corners whatever it faces, and whether its order is an even one of theirs.
fn corners(t: [u32; 3]) -> ([u32; 3], bool) {
    let [a, b, c] = t;
    let mut sorted = t;
    sorted.sort_unstable();
    // An odd number of pairs out of order is an odd order.
    let swaps = u8::from(a > b) + u8::from(a > c) + u8::from(b > c);
    (sorted, swaps.is_multiple_of(2))
}

fn edges([a, b, c]: [u32; 3]) -> [(u32, u32); 3] {
    [(a, b), (b, c), (a, c)]
}

/// The mesh without triangles that repeat others, and how many went.
///
/// Of triangles with the same corners that face the same way, one stays. Where as many face one way as the other, they are a fold without
/// thickness and all go; but a closed surface in which every triangle comes with its back is a body with two-sided faces: there one
/// side stays, the one listed first.
pub fn drop_duplicates(mesh: &TriMesh) -> (TriMesh, usize) {
    let keyed: Vec<([u32; 3], bool)> = mesh.triangles.iter().map(|&t| corners(t)).collect();
    let mut order: Vec<u32> = (0..keyed.len() as u32).collect();
    order.sort_unstable_by_key(|&t| (keyed[t as usize].0, t));
    let groups: Vec<&[u32]> = order.chunk_by(|&a, &b| keyed[a as usize].0 == keyed[b as usize].0).collect();
    if groups.len() == keyed.len() {
        return (mesh.clone(), 0);
    }
    let balance = |g: &[u32]| g.iter().map(|&t| if keyed[t as usize].1 { 1_i64 } else { -1 }).sum::<i64>();
    let folds: Vec<usize> = (0..groups.len()).filter(|&g| balance(groups[g]) == 0).collect();
    let bodies = two_sided(&folds.iter().map(|&g| keyed[groups[g][0] as usize].0).collect::<Vec<_>>(), |found| {
        for (g, group) in groups.iter().enumerate() {
            if folds.binary_search(&g).is_err() {
                found(keyed[group[0] as usize].0);
            }
        }
    });
    let mut keep = vec![false; keyed.len()];
    for (g, group) in groups.iter().enumerate() {
        let sum = balance(group);
        let stays = match folds.binary_search(&g) {
            Ok(fold) => bodies[fold].then(|| group[0]),
            Err(_) => group.iter().copied().find(|&t| keyed[t as usize].1 == (sum > 0)),
        };
        if let Some(t) = stays {
            keep[t as usize] = true;
        }
    }
    let gone = keep.iter().filter(|k| !**k).count();
    (mesh.part(|t| keep[t]), gone)
}

/// Which of these triangles belong to a closed surface made of nothing but them. `others` tells the triangles beside them.
fn two_sided(folds: &[[u32; 3]], others: impl FnOnce(&mut dyn FnMut([u32; 3]))) -> Vec<bool> {
    let mut of_edge: BTreeMap<(u32, u32), (Vec<usize>, bool)> = BTreeMap::new();
    for (i, &t) in folds.iter().enumerate() {
        for e in edges(t) {
            of_edge.entry(e).or_default().0.push(i);
        }
    }
    others(&mut |t| {
        for e in edges(t) {
            if let Some(found) = of_edge.get_mut(&e) {
                found.1 = true;
            }
        }
    });
    let mut closed = vec![true; folds.len()];
    let mut next: Vec<Vec<usize>> = vec![Vec::new(); folds.len()];
    for (at, touches_others) in of_edge.values() {
        match at[..] {
            [a, b] if !touches_others => {
                next[a].push(b);
                next[b].push(a);
            }
            _ => at.iter().for_each(|&i| closed[i] = false),
        }
    }
    // What hangs together with something that is not closed is not closed.
    let mut front: Vec<usize> = (0..folds.len()).filter(|&i| !closed[i]).collect();
    while let Some(i) = front.pop() {
        for &n in &next[i] {
            if std::mem::replace(&mut closed[n], false) {
                front.push(n);
            }
        }
    }
    closed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        report,
        shapes::{block, sphere},
    };

    #[test]
    fn a_sound_mesh_stays_as_it_is() {
        let ball = sphere(10.0, 10, 12);
        assert_eq!(drop_duplicates(&ball), (ball, 0));
    }

    #[test]
    fn of_three_alike_one_stays() {
        let sound = block([0.0; 3], [20.0, 10.0, 5.0]);
        let mut mesh = sound.clone();
        let [a, b, c] = mesh.triangles[5];
        mesh.triangles.extend([[b, c, a], [c, a, b]]);
        assert_eq!(drop_duplicates(&mesh), (sound, 2));
    }

    /// A fin on a box: two triangles back to back on one of its edges.
    #[test]
    fn a_fold_goes_altogether() {
        let sound = block([0.0; 3], [20.0, 10.0, 5.0]);
        let mut mesh = sound.clone();
        mesh.vertices.push([30.0, 0.0, 0.0]);
        let [a, b, _] = mesh.triangles[0];
        mesh.triangles.extend([[a, b, 8], [b, a, 8]]);
        assert!(!report(&mesh).watertight);
        assert_eq!(drop_duplicates(&mesh), (sound, 2));
    }

    #[test]
    fn of_a_body_with_two_sided_faces_the_first_side_stays() {
        let sound = sphere(10.0, 8, 9);
        let mut mesh = sound.clone();
        mesh.triangles.extend(sound.triangles.iter().map(|&[a, b, c]| [a, c, b]));
        assert_eq!(drop_duplicates(&mesh), (sound.clone(), sound.triangles.len()));
    }

    #[test]
    fn a_sheet_given_from_both_sides_leaves_nothing() {
        let sheet = TriMesh {
            vertices: vec![[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
            triangles: vec![[0, 1, 2], [0, 2, 1]],
        };
        assert_eq!(drop_duplicates(&sheet), (TriMesh::default(), 2));
        assert_eq!(drop_duplicates(&TriMesh::default()), (TriMesh::default(), 0));
    }
}
