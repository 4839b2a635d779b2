//! Where a part touches the bed.

use super::{TriMesh, section};
use crate::geom::Region;

/// The contact: the section at half the first layer's height above the mesh's lowest point. Empty for a flat mesh.
/// Exact to rounding, as [`section`].
pub fn contact(mesh: &TriMesh, first_layer_mm: f64) -> Region {
    mesh.bounds().map_or(Region::EMPTY, |b| section(mesh, b[0][2] + first_layer_mm / 2.0))
}
