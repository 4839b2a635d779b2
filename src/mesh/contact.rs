//! Where a part touches the bed.

use super::{TriMesh, section};
use crate::geom::Region;

/// The contact: the section at half the first layer's height above the mesh's lowest point, or at half the mesh's own height where it
/// is lower than that layer. Empty for a flat mesh.
/// Exact to rounding, as [`section`].
pub fn contact(mesh: &TriMesh, first_layer_mm: f64) -> Region {
    let at = |[low, high]: [f64; 2]| low + first_layer_mm.min(high - low) / 2.0;
    mesh.bounds().map_or(Region::EMPTY, |b| section(mesh, at([b[0][2], b[1][2]])))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::shapes::{block, cone, moved};

    #[test]
    fn half_the_first_layer_up() {
        let tip_down = cone(10.0, 30.0, 120).posed(&[[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]]).0;
        let r: f64 = 10.0 * 0.1 / 30.0;
        let exact = 60.0 * r * r * (std::f64::consts::TAU / 120.0).sin();
        assert!((contact(&tip_down, 0.2).area() - exact).abs() < 1e-12);
        assert_eq!(contact(&moved(&block([0.0; 3], [4.0, 5.0, 6.0]), [0.0, 0.0, -3.0]), 0.2).area(), 20.0);
        // Lower than half of it: a part all the same.
        assert_eq!(contact(&block([0.0; 3], [4.0, 5.0, 0.05]), 0.2).area(), 20.0);
        assert!(contact(&TriMesh::default(), 0.2).is_empty());
    }
}
