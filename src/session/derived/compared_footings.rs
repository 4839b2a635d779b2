//! Footings that no copy has, compared with those that they have.

use std::sync::Arc;

use crate::{
    document::{Footing, Job, Part, Plate, Recipe},
    estimate::{FootingProfile, LayerWork},
    geom::{boolean, offset},
    plate::PartShape,
    session::{
        Session,
        derived::{
            footing_cost::FootingCost,
            keys::{recipe_key, shape_key},
            pending::Pending,
        },
    },
    work::Request,
};

/// How far the outline of a footing may be off, mm.
const TOLERANCE_MM: f64 = 0.01;

impl Session {
    /// What a footing costs that no copy has, to compare it with the one they have; `None` while it is worked out, or where it cannot be.
    fn compared_footing(
        &mut self,
        job: &Job,
        part: &Part,
        footing: Footing,
        recipe: &Recipe,
    ) -> Option<Arc<FootingProfile>> {
        let key = shape_key(job, part)?;
        let shape = self.caches.shapes_by_key.get(&key).cloned()?;
        let key = (key, recipe_key(recipe), footing.kind(), footing.width_mm().to_bits());
        if let Some(found) = self.caches.footings.get(&key) {
            return found.clone().ok();
        }
        let recipe = Box::new(recipe.clone());
        // Not `Pending::Footing`: that is stopped where no copy stands on it.
        self.ask_once(Pending::Compared(key), || Request::Footing { shape, footing, recipe });
        None
    }

    /// What a footing costs a part's copies on a plate beside the one that they have; `None` while it is worked out.
    pub(super) fn footing_cost(
        &mut self,
        job: &Job,
        p: &Plate,
        part: &Part,
        shape: &PartShape,
        [now, then]: [Footing; 2],
    ) -> Option<FootingCost> {
        let (recipe, material) = (job.recipe(p.recipe)?, job.material(p.material)?);
        let mut cost_of = |footing| -> Option<(f64, f64)> {
            let made = self.compared_footing(job, part, footing, recipe)?;
            let time_s: f64 = made.layers().iter().map(LayerWork::time_s).sum();
            Some((time_s * recipe.time_factor, FootingProfile::volume_mm3(&made) * material.density_g_cm3 / 1000.0))
        };
        let ((time_now, mass_now), (time_then, mass_then)) = (cost_of(now)?, cost_of(then)?);
        let cost = FootingCost {
            time_s: time_then - time_now,
            mass_g: mass_then - mass_now,
            area_mm2: bed_area_mm2(shape, then) - bed_area_mm2(shape, now),
            clean_up_s: job.clean_up_s(part, then),
        };
        let numbers = [cost.time_s, cost.mass_g, cost.area_mm2, cost.clean_up_s];
        numbers.iter().all(|v| v.is_finite()).then_some(cost)
    }
}

/// Area of the bed that nothing else can lie on, mm²: under the shadow and the footing together.
fn bed_area_mm2(shape: &PartShape, footing: Footing) -> f64 {
    let footing = offset::grow(shape.contact.region(), footing.width_mm(), TOLERANCE_MM);
    boolean::union(&[shape.shadow.region().clone(), footing]).area()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Outline, Point, Region};

    /// A square of 10 mm with a brim of 5 mm: 100 + 4 · 10 · 5 + π 5². Under a shadow that reaches farther it takes nothing.
    #[test]
    fn the_bed_under_shadow_and_footing() {
        let square = |half: f64| {
            let corners = [[-half, -half], [half, -half], [half, half], [-half, half]].map(Point::from).to_vec();
            Outline::new(Region::from(crate::geom::Polygon::simple(corners)))
        };
        let column = PartShape {
            shadow: square(5.0),
            contact: square(5.0),
            height_mm: 40.0,
            shift_mm: [0.0; 3],
            own_mirror: false,
        };
        let brim = Footing::Brim { width_mm: 5.0 };
        let area = 100.0 + 200.0 + std::f64::consts::PI * 25.0;
        assert!((bed_area_mm2(&column, brim) / area - 1.0).abs() < 5e-3);
        assert!((bed_area_mm2(&column, Footing::Bare) - 100.0).abs() < 1e-9);
        let mushroom = PartShape { shadow: square(30.0), ..column };
        assert!((bed_area_mm2(&mushroom, brim) - 3600.0).abs() < 1e-9);
    }
}
