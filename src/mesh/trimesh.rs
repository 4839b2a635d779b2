//! Welded triangles.

/// A triangle mesh with shared vertices. Coordinates are finite; each triangle has three different indices in range.
/// It need not be closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TriMesh {
    /// Vertices, in the mesh's own unit.
    pub vertices: Vec<[f64; 3]>,
    /// Triangles, counter-clockwise from outside.
    pub triangles: Vec<[u32; 3]>,
}
