//! Numbers of recipes.

use super::fault::{Fault, numbers};
use crate::document::{Job, Recipe, limits::RECIPE};

/// Adds a fault for each number of a recipe out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, r) in job.recipes.iter().enumerate() {
        recipe(r, &format!("recipes[{i}]"), faults);
    }
}

/// Adds the faults of one recipe; `place` is where it stands in the file.
pub fn recipe(r: &Recipe, place: &str, faults: &mut Vec<Fault>) {
    numbers(r, RECIPE, place, faults);
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{LayerFloor, Support};

    #[test]
    fn a_layer_of_no_height() {
        assert_eq!(faults_after(|j| j.recipes[0].layer_height_mm = 0.0), ["recipes[0].layer_height_mm"]);
    }

    #[test]
    fn more_infill_than_all() {
        assert_eq!(faults_after(|j| j.recipes[1].infill = 18.0), ["recipes[1].infill"]);
    }

    #[test]
    fn supports_of_no_angle() {
        let places = faults_after(|j| {
            j.recipes[0].support = Some(Support { overhang_deg: 90.0, density: 1.5 });
        });
        assert_eq!(places, ["recipes[0].support.overhang_deg", "recipes[0].support.density"]);
    }

    #[test]
    fn a_negative_minimum() {
        let places = faults_after(|j| j.recipes[0].floor = LayerFloor::Typed { seconds: -1.0 });
        assert_eq!(places, ["recipes[0].floor.seconds"]);
    }
}
