//! Triangle bodies.
//!
//! - [`TriMesh`]: welded triangles

mod trimesh;

pub use trimesh::TriMesh;
