//! Numbers of recipes.

use super::{Fault, within};
use crate::document::{Job, LayerFloor, Recipe};

/// Adds a fault for each number of a recipe out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, r) in job.recipes.iter().enumerate() {
        recipe(r, &format!("recipes[{i}]"), faults);
    }
}

/// Adds the faults of one recipe; `place` is where it stands in the file.
pub fn recipe(r: &Recipe, place: &str, faults: &mut Vec<Fault>) {
    for (name, value, least, most) in [
        ("layer_height_mm", r.layer_height_mm, 0.01, 5.0),
        ("first_layer_mm", r.first_layer_mm, 0.01, 5.0),
        ("bead_width_mm", r.bead_width_mm, 0.05, 20.0),
        ("walls", f64::from(r.walls), 0.0, 1000.0),
        ("solid_bottom", f64::from(r.solid_bottom), 0.0, 100_000.0),
        ("solid_top", f64::from(r.solid_top), 0.0, 100_000.0),
        ("infill", r.infill, 0.0, 1.0),
        ("wall_mm_s", r.wall_mm_s, 0.1, 5000.0),
        ("solid_mm_s", r.solid_mm_s, 0.1, 5000.0),
        ("infill_mm_s", r.infill_mm_s, 0.1, 5000.0),
        ("travel_mm_s", r.travel_mm_s, 0.1, 5000.0),
        ("first_layer_mm_s", r.first_layer_mm_s, 0.1, 5000.0),
        ("least_mm_s", r.least_mm_s, 0.1, 5000.0),
        ("acceleration_mm_s2", r.acceleration_mm_s2, 1.0, 1e6),
        ("travel_acceleration_mm_s2", r.travel_acceleration_mm_s2, 1.0, 1e6),
        ("junction_deviation_mm", r.junction_deviation_mm, 0.0, 1.0),
        ("flow_mm3_s", r.flow_mm3_s, 0.01, 10_000.0),
        ("retraction_mm", r.retraction_mm, 0.0, 100.0),
        ("retraction_mm_s", r.retraction_mm_s, 0.1, 1000.0),
        ("layer_change_s", r.layer_change_s, 0.0, 3600.0),
        ("skirt_loops", f64::from(r.skirt_loops), 0.0, 1000.0),
        ("skirt_gap_mm", r.skirt_gap_mm, 0.0, 1000.0),
        ("raft_layers", f64::from(r.raft_layers), 0.0, 1000.0),
        ("purge_mm3", r.purge_mm3, 0.0, 1e6),
        ("time_factor", r.time_factor, 0.01, 100.0),
    ] {
        within(faults, format!("{place}.{name}"), value, least, most);
    }
    if let Some(s) = r.support {
        within(faults, format!("{place}.support.overhang_deg"), s.overhang_deg, 0.0, 89.0);
        within(faults, format!("{place}.support.density"), s.density, 0.0, 1.0);
    }
    if let LayerFloor::Typed { seconds } = r.floor {
        within(faults, format!("{place}.floor.seconds"), seconds, 0.0, 86_400.0);
    }
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
