//! Constants of materials.

use super::fault::{Fault, numbers};
use crate::document::{Job, Material, limits::MATERIAL};

/// Adds a fault for each constant of a material out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, m) in job.materials.iter().enumerate() {
        material(m, &format!("materials[{i}]"), faults);
    }
}

/// Adds the faults of one material; `place` is where it stands in the file.
pub fn material(m: &Material, place: &str, faults: &mut Vec<Fault>) {
    numbers(m, MATERIAL, place, faults);
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn a_weightless_material() {
        assert_eq!(faults_after(|j| j.materials[0].density_g_cm3 = 0.0), ["materials[0].density_g_cm3"]);
    }

    #[test]
    fn a_price_below_nothing() {
        assert_eq!(faults_after(|j| j.materials[2].cost_per_kg = -1.0), ["materials[2].cost_per_kg"]);
    }
}
