//! Constants of materials.

use super::fault::{Fault, numbers};
use crate::document::{
    Job, Material,
    limits::{ADHESION, MATERIAL},
};

/// Adds a fault for each constant of a material out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, m) in job.materials.iter().enumerate() {
        material(m, &format!("materials[{i}]"), faults);
    }
}

/// Adds the faults of one material; `place` is where it stands in the file.
pub fn material(m: &Material, place: &str, faults: &mut Vec<Fault>) {
    numbers(m, MATERIAL, place, faults);
    for (i, a) in m.adhesions.iter().enumerate() {
        let place = format!("{place}.adhesions[{i}]");
        numbers(a, ADHESION, &place, faults);
        if m.adhesions[..i].iter().any(|b| b.surface == a.surface) {
            let text = format!("the surface \u{201c}{}\u{201d} has two values; keep one", a.surface);
            faults.push(Fault::new(format!("{place}.surface"), text));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{Adhesion, Column, PullTest};

    #[test]
    fn adhesions() {
        let sticky = |kpa| Adhesion { surface: "glass".into(), kpa, origin: String::new(), pull_test: None };
        assert!(faults_after(|j| j.materials[0].adhesions.push(sticky(80.0))).is_empty());
        assert_eq!(faults_after(|j| j.materials[0].adhesions.push(sticky(-1.0))), ["materials[0].adhesions[0].kpa"]);
        let twice = faults_after(|j| j.materials[1].adhesions = vec![sticky(80.0), sticky(90.0)]);
        assert_eq!(twice, ["materials[1].adhesions[1].surface"]);
        let column = Column::Rectangle { along_mm: 0.0, across_mm: 10.0 };
        let test = PullTest { date: String::new(), column, height_mm: 20.0, force_n: 1.0 };
        let by_test = Adhesion { pull_test: Some(test), ..sticky(80.0) };
        let places = faults_after(|j| j.materials[0].adhesions.push(by_test));
        assert_eq!(places, ["materials[0].adhesions[0].pull_test.column.along_mm"]);
    }

    #[test]
    fn a_material_without_stiffness() {
        assert_eq!(faults_after(|j| j.materials[0].strength.modulus_mpa = 0.0), ["materials[0].strength.modulus_mpa"]);
    }

    #[test]
    fn a_weightless_material() {
        assert_eq!(faults_after(|j| j.materials[0].density_g_cm3 = 0.0), ["materials[0].density_g_cm3"]);
    }

    #[test]
    fn a_price_below_nothing() {
        assert_eq!(faults_after(|j| j.materials[2].cost_per_kg = -1.0), ["materials[2].cost_per_kg"]);
    }
}
