//! Constants of materials.

use super::{Fault, within};
use crate::document::{Job, Material};

/// Adds a fault for each constant of a material out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, m) in job.materials.iter().enumerate() {
        material(m, &format!("materials[{i}]"), faults);
    }
}

/// Adds the faults of one material; `place` is where it stands in the file.
pub fn material(m: &Material, place: &str, faults: &mut Vec<Fault>) {
    for (name, value, least, most) in [
        ("density_g_cm3", m.density_g_cm3, 0.05, 25.0),
        ("heat_capacity_j_kg_k", m.heat_capacity_j_kg_k, 10.0, 10_000.0),
        ("conductivity_w_m_k", m.conductivity_w_m_k, 0.001, 500.0),
        ("deposit_c", m.deposit_c, 0.0, 2000.0),
        ("limit_c", m.limit_c, -100.0, 2000.0),
        ("air_c", m.air_c, -50.0, 500.0),
        ("film_w_m2_k", m.film_w_m2_k, 0.1, 10_000.0),
        ("cost_per_kg", m.cost_per_kg, 0.0, 1e6),
    ] {
        within(faults, format!("{place}.{name}"), value, least, most);
    }
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
