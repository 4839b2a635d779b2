//! Shells that are inside out.

use crate::mesh::{Edges, TriMesh, bodies::members, checks, column::Columns, shells::Shells};

/// More shells than this are not looked for in one another: each counts as standing by itself.
const MOST_SHELLS: usize = 2000;

/// The mesh with its shells facing outwards, and how many triangles were turned round.
///
/// Within a shell the triangles are made to face the same way as their neighbours: the way most of them do. A closed shell that no other
/// holds then gets a positive volume. Where it had to be turned, shells inside it alternate: a cavity, a body in the cavity, and so on.
/// Shells inside a sound one stay as they are: one of negative volume is its cavity. Open shells are only made uniform.
pub fn flip_inside_out(mesh: &TriMesh) -> (TriMesh, usize) {
    let edges = Edges::of(mesh);
    let twins = checks::twins(mesh, &edges);
    let is_extra = |t: usize| twins.binary_search_by_key(&(t as u32), |p| p.0).is_ok();
    let before = Shells::of(mesh, &edges, &twins);
    let mut turned = vec![false; mesh.triangles.len()];
    if before.shells.iter().any(|s| s.mixed) {
        make_uniform(mesh, &edges, &is_extra, &before, &mut turned);
    }
    let mut uniform = mesh.clone();
    turn(&mut uniform, &turned);
    // Volumes and windings of what faces one way; the shells are the same.
    let shells = Shells::of(&uniform, &edges_of(&uniform, &turned, edges), &twins);
    let lists = members(&shells);
    let n = shells.shells.len();
    let holders = if n > 1 && n <= MOST_SHELLS { holders(&uniform, &shells, &lists) } else { vec![Vec::new(); n] };
    let was_mixed = |s: usize| {
        before.of_triangle.get(shells.shells[s].first_triangle).is_some_and(|&b| before.shells[b as usize].mixed)
    };
    let mut flips = vec![false; n];
    for s in 0..n {
        let shell = &shells.shells[s];
        if !shell.closed || shell.mixed || shell.volume == 0.0 {
            continue;
        }
        let depth = holders[s].len();
        // The outermost of those that hold it decides whether this group is inside out.
        let outermost = holders[s].iter().copied().find(|&h| holders[h].is_empty());
        let group_turned = outermost.is_some_and(|h| shells.shells[h].volume < 0.0);
        let decided = depth == 0 || group_turned || was_mixed(s);
        flips[s] = decided && (shell.volume > 0.0) != depth.is_multiple_of(2);
    }
    for (t, flag) in turned.iter_mut().enumerate() {
        *flag ^= flips[shells.of_triangle[t] as usize];
    }
    let count = turned.iter().filter(|t| **t).count();
    let mut mended = mesh.clone();
    turn(&mut mended, &turned);
    (mended, count)
}

fn turn(mesh: &mut TriMesh, which: &[bool]) {
    for (t, _) in mesh.triangles.iter_mut().zip(which).filter(|(_, w)| **w) {
        t.swap(1, 2);
    }
}

/// The edge table again where triangles were turned; it holds their directions.
fn edges_of(mesh: &TriMesh, turned: &[bool], before: Edges) -> Edges {
    if turned.contains(&true) { Edges::of(mesh) } else { before }
}

/// Turns triangles so that neighbours agree; in each shell the fewer.
fn make_uniform(mesh: &TriMesh, edges: &Edges, is_extra: &dyn Fn(usize) -> bool, shells: &Shells, turned: &mut [bool]) {
    let mut next: Vec<Vec<(u32, bool)>> = vec![Vec::new(); mesh.triangles.len()];
    edges.for_each(|_, _, uses| {
        let kept: Vec<_> = uses.iter().filter(|u| !is_extra(u.triangle())).collect();
        if let [a, b] = kept[..] {
            let against = a.direction() == b.direction();
            next[a.triangle()].push((b.triangle() as u32, against));
            next[b.triangle()].push((a.triangle() as u32, against));
        }
    });
    let mut seen = vec![false; mesh.triangles.len()];
    for start in 0..mesh.triangles.len() {
        if seen[start] || !shells.shells[shells.of_triangle[start] as usize].mixed {
            continue;
        }
        seen[start] = true;
        let mut patch = vec![start as u32];
        let mut at = 0;
        while let Some(&t) = patch.get(at) {
            at += 1;
            for &(other, against) in &next[t as usize] {
                if !std::mem::replace(&mut seen[other as usize], true) {
                    turned[other as usize] = turned[t as usize] ^ against;
                    patch.push(other);
                }
            }
        }
        if patch.iter().filter(|&&t| turned[t as usize]).count() * 2 > patch.len() {
            for &t in &patch {
                turned[t as usize] ^= true;
            }
        }
    }
}

/// For each shell, the closed ones that hold it.
fn holders(mesh: &TriMesh, shells: &Shells, lists: &[Vec<u32>]) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = vec![Vec::new(); lists.len()];
    for (h, holder) in shells.shells.iter().enumerate().filter(|(_, s)| s.closed && s.volume != 0.0) {
        let inside: Vec<usize> = (0..lists.len())
            .filter(|&i| {
                let b = shells.shells[i].bounds;
                i != h && (0..3).all(|k| holder.bounds[0][k] <= b[0][k] && b[1][k] <= holder.bounds[1][k])
            })
            .collect();
        if inside.is_empty() {
            continue;
        }
        let columns = Columns::new(mesh, &lists[h]);
        for i in inside {
            if columns.winding(mesh.corners(shells.shells[i].first_triangle)[0]) != 0 {
                found[i].push(h);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{
        FaultKind, report,
        shapes::{block, moved, sphere, together, torus},
    };

    fn inside_out(mut mesh: TriMesh) -> TriMesh {
        mesh.turn_inside_out();
        mesh
    }

    #[test]
    fn a_box_inside_out() {
        let sound = block([0.0; 3], [20.0, 10.0, 5.0]);
        let (mended, count) = flip_inside_out(&inside_out(sound.clone()));
        assert_eq!((mended.volume_mm3(), count), (1000.0, 12));
        assert_eq!(flip_inside_out(&sound), (sound, 0));
    }

    #[test]
    fn single_triangles_that_face_the_wrong_way() {
        let sound = torus(20.0, 5.0, 12, 16);
        let mut mesh = sound.clone();
        for t in [3, 4, 77, 120] {
            mesh.triangles[t].swap(0, 1);
        }
        let (mended, count) = flip_inside_out(&mesh);
        assert_eq!(count, 4);
        assert!((mended.volume_mm3() / sound.volume_mm3() - 1.0).abs() < 1e-12);
        assert!(report(&mended).faults.is_empty());
        // Mixed and inside out on the whole.
        let (mended, _) = flip_inside_out(&inside_out(mesh));
        assert!((mended.volume_mm3() / sound.volume_mm3() - 1.0).abs() < 1e-12);
    }

    /// A hollow body: as it should be, all inside out, and with its outer shell alone inside out.
    #[test]
    fn a_cavity_stays_one() {
        let (outer, cavity) = (block([0.0; 3], [10.0; 3]), inside_out(block([2.0; 3], [4.0; 3])));
        let sound = together(&outer, &cavity);
        assert_eq!(flip_inside_out(&sound), (sound.clone(), 0));
        assert_eq!(flip_inside_out(&inside_out(sound.clone())).0.volume_mm3().round(), 936.0);
        let (mended, count) = flip_inside_out(&together(&inside_out(outer.clone()), &cavity));
        assert_eq!((mended.volume_mm3().round(), count), (936.0, 12));
        // A body in the cavity of an inside-out body.
        let nested = together(&sound, &block([3.0; 3], [1.0; 3]));
        assert_eq!(flip_inside_out(&inside_out(nested)).0.volume_mm3().round(), 937.0);
    }

    /// Two bodies that overlap, one inside out: no shell lies within the other.
    #[test]
    fn overlapping_shells_are_turned_one_by_one() {
        let b = block([0.0; 3], [10.0; 3]);
        let (mended, count) = flip_inside_out(&together(&b, &inside_out(moved(&b, [5.0, 5.0, 5.0]))));
        assert_eq!((mended.volume_mm3(), count), (2000.0, 12));
        assert!(report(&mended).faults.iter().all(|f| f.kind == FaultKind::OverlappingShells));
    }

    #[test]
    fn open_and_flat_ones_are_left_alone() {
        let mut open = inside_out(sphere(10.0, 8, 9));
        open.triangles.truncate(40);
        assert_eq!(flip_inside_out(&open), (open, 0));
        let flat = TriMesh {
            vertices: vec![[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
            triangles: vec![[0, 1, 2], [0, 2, 1]],
        };
        assert_eq!(flip_inside_out(&flat), (flat, 0));
        assert_eq!(flip_inside_out(&TriMesh::default()), (TriMesh::default(), 0));
    }
}
