//! Footings as geometry.

use super::prism::prism;
use crate::{
    document::{Footing, Recipe},
    geom::{Region, boolean, offset},
    mesh::TriMesh,
};

/// How far a brim reaches under its part, so that the two share volume, not faces, and print as one.
const UNDER_MM: f64 = 0.1;

/// A footing's body in the part's own place, and how far the part stands above the bed on it.
pub(super) struct FootingSolid {
    /// The body.
    pub(super) mesh: TriMesh,
    /// How far the part is raised, mm.
    pub(super) lift_mm: f64,
}

/// A brim is one first layer from just inside the contact outward; a raft lies under the contact too, all its layers high, and
/// raises the part. `None` where there is nothing to lay.
pub(super) fn footing_solid(
    footing: Footing,
    contact: &Region,
    recipe: &Recipe,
    tolerance_mm: f64,
) -> Option<FootingSolid> {
    let width_mm = footing.width_mm();
    let (mesh, lift_mm) = match footing {
        Footing::Bare => return None,
        Footing::Brim { .. } => {
            let hole = offset::shrink(contact, UNDER_MM, tolerance_mm);
            let ring = boolean::difference(&offset::grow(contact, width_mm, tolerance_mm), &hole);
            (prism(&ring, 0.0, recipe.first_layer_mm), 0.0)
        }
        Footing::Raft { .. } => {
            let height = recipe.raft_height_mm();
            (prism(&offset::grow(contact, width_mm, tolerance_mm), 0.0, height), height)
        }
    };
    (!mesh.triangles.is_empty()).then_some(FootingSolid { mesh, lift_mm })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::RecipeId,
        geom::{Bounds, Point},
    };

    #[test]
    fn a_brim_lies_round_and_a_raft_under() {
        let contact = Region::rectangle(Bounds::new(Point::new(-5.0, -5.0), Point::new(5.0, 5.0)));
        let recipe = Recipe::plain(RecipeId(1));
        assert!(footing_solid(Footing::Bare, &contact, &recipe, 0.01).is_none());
        let brim = footing_solid(Footing::Brim { width_mm: 3.0 }, &contact, &recipe, 0.01).expect("a brim");
        assert_eq!(brim.lift_mm, 0.0);
        let top = |m: &TriMesh| m.vertices.iter().map(|v| v[2]).fold(0.0, f64::max);
        assert_eq!(top(&brim.mesh), recipe.first_layer_mm);
        let raft = footing_solid(Footing::Raft { width_mm: 3.0 }, &contact, &recipe, 0.01).expect("a raft");
        assert_eq!(top(&raft.mesh), raft.lift_mm);
        assert!((raft.lift_mm - 0.8).abs() < 1e-12);
        assert!(footing_solid(Footing::Raft { width_mm: 3.0 }, &Region::EMPTY, &recipe, 0.01).is_none());
    }
}
