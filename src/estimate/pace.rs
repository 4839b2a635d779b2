//! The speeds a recipe really gives on a layer.

use crate::document::Recipe;

use super::{RecipeFault, check_recipe, motion::rest_to_rest_s};

/// What the head is laying down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Wall loops, and single beads where a wall is thinner than one.
    Walls,
    /// Solid layers.
    Solid,
    /// Sparse infill.
    Infill,
    /// Columns under overhangs.
    Support,
    /// Skirt, brim, raft.
    Footing,
}

/// Speeds and lengths of a recipe, checked; on the first layer or above it.
///
/// A bead is a rectangle, layer height × bead width, and neighbouring beads lie one bead width apart: the same for time, flow
/// and mass, so that volume closes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pace {
    pub(super) height_mm: f64,
    pub(super) bead_mm: f64,
    pub(super) walls: usize,
    pub(super) density: f64,
    pub(super) support_density: f64,
    pub(super) acceleration: f64,
    pub(super) deviation_mm: f64,
    pub(super) travel_mm_s: f64,
    pub(super) travel_acceleration: f64,
    pub(super) least_mm_s: f64,
    /// Drawing back and priming, both, s.
    pub(super) retraction_s: f64,
    flow_mm3_s: f64,
    wall_mm_s: f64,
    solid_mm_s: f64,
    infill_mm_s: f64,
    cap_mm_s: f64,
}

impl Pace {
    pub(super) fn new(r: &Recipe, first_layer: bool) -> Result<Self, RecipeFault> {
        check_recipe(r)?;
        Ok(Self {
            height_mm: if first_layer { r.first_layer_mm } else { r.layer_height_mm },
            bead_mm: r.bead_width_mm,
            walls: r.walls as usize,
            density: r.infill,
            support_density: r.support.map_or(0.0, |s| s.density),
            acceleration: r.acceleration_mm_s2,
            deviation_mm: r.junction_deviation_mm,
            travel_mm_s: r.travel_mm_s,
            travel_acceleration: r.travel_acceleration_mm_s2,
            least_mm_s: r.least_mm_s,
            retraction_s: 2.0 * r.retraction_mm / r.retraction_mm_s,
            flow_mm3_s: r.flow_mm3_s,
            wall_mm_s: r.wall_mm_s,
            solid_mm_s: r.solid_mm_s,
            infill_mm_s: r.infill_mm_s,
            cap_mm_s: if first_layer { r.first_layer_mm_s } else { f64::INFINITY },
        })
    }
    /// Time of a move from one copy to another `way_mm` away, drawn back, s.
    pub(super) fn move_s(&self, way_mm: f64) -> f64 {
        rest_to_rest_s(way_mm.max(0.0), self.travel_mm_s, self.travel_acceleration) + self.retraction_s
    }
    /// Speed of a bead `width_mm` wide: the least of its kind's speed, the flow limit over the bead's area and, on the first
    /// layer, the first layer's speed. Footings go at the walls' speed, supports at the infill's.
    pub(super) fn speed(&self, kind: Kind, width_mm: f64) -> f64 {
        let wanted = match kind {
            Kind::Walls | Kind::Footing => self.wall_mm_s,
            Kind::Solid => self.solid_mm_s,
            Kind::Infill | Kind::Support => self.infill_mm_s,
        };
        wanted.min(self.flow_mm3_s / (self.height_mm * width_mm).max(1e-9)).min(self.cap_mm_s)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::RecipeId;

    /// v ≤ Q / (w h): 11 mm³/s through a bead of 0.45 × 0.2 mm are 122.22 mm/s; 60 mm/s there are 5.40 mm³/s. Source: arithmetic.
    #[test]
    fn the_flow_limit_caps_the_speed() {
        let fast = Recipe {
            wall_mm_s: 400.0,
            solid_mm_s: 400.0,
            infill_mm_s: 400.0,
            flow_mm3_s: 11.0,
            ..Recipe::plain(RecipeId(1))
        };
        let pace = Pace::new(&fast, false).expect("a sound recipe");
        for kind in [Kind::Walls, Kind::Solid, Kind::Infill, Kind::Support, Kind::Footing] {
            assert!((pace.speed(kind, 0.45) - 122.222_222).abs() < 1e-5);
            assert!((pace.speed(kind, 0.9) - 61.111_111).abs() < 1e-5, "twice as wide, half as fast");
        }
        let just = Recipe { wall_mm_s: 60.0, flow_mm3_s: 5.4, ..fast };
        assert!((Pace::new(&just, false).expect("sound").speed(Kind::Walls, 0.45) - 60.0).abs() < 1e-9);
        let less = Recipe { flow_mm3_s: 5.3, ..just };
        assert!(Pace::new(&less, false).expect("sound").speed(Kind::Walls, 0.45) < 59.0);
    }
}
