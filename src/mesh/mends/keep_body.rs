//! One body of several.

use crate::mesh::{TriMesh, split_bodies};

/// The n-th connected body, counted from 0 as [`split_bodies`] lists them, and how many triangles went. A mesh without such a body stays
/// whole.
pub fn keep_body(mesh: &TriMesh, n: usize) -> (TriMesh, usize) {
    match split_bodies(mesh).into_iter().nth(n) {
        Some(body) => {
            let gone = mesh.triangles.len() - body.triangles.len();
            (body, gone)
        }
        None => (mesh.clone(), 0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, moved, together};

    #[test]
    fn one_of_two_stays() {
        let small = block([0.0; 3], [1.0, 1.0, 1.0]);
        let both = together(&moved(&block([0.0; 3], [2.0, 2.0, 2.0]), [9.0, 0.0, 0.0]), &small);
        let (kept, gone) = keep_body(&both, 1);
        assert_eq!((kept.volume_mm3(), gone), (1.0, 12));
        assert_eq!(keep_body(&both, 7), (both, 0));
        assert_eq!(keep_body(&TriMesh::default(), 0), (TriMesh::default(), 0));
    }
}
