//! What a part is judged under: forces, adhesion, material and layers.

use crate::document::{Job, Machine, Material, Recipe};

/// Standard gravity, m/s² (ISO 80000-3).
const GRAVITY_M_S2: f64 = 9.806_65;

/// What a part is judged under. Plain numbers, most of them assumptions of the person; whatever is no number or below nothing
/// counts as 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Sideways force of the nozzle, N.
    pub sideways_n: f64,
    /// Safety factor on the adhesion.
    pub safety_factor: f64,
    /// Stress at which the material lets go of the bed, MPa.
    pub adhesion_mpa: f64,
    /// Flexural strength, MPa.
    pub flexural_mpa: f64,
    /// Modulus of elasticity, MPa.
    pub modulus_mpa: f64,
    /// Linear thermal expansion, 10⁻⁶/K.
    pub expansion_um_m_k: f64,
    /// From this temperature down the material shrinks as a solid, °C.
    pub limit_c: f64,
    /// Air round the part, °C.
    pub air_c: f64,
    /// Density, g/cm³.
    pub density_g_cm3: f64,
    /// How much of a part's volume is filled, 0..=1. The infill density is on the safe side for the weight.
    pub solid_share: f64,
    /// Height of the first layer, which is a brim's thickness, mm.
    pub first_layer_mm: f64,
    /// Layer height, mm.
    pub layer_mm: f64,
    /// Bead width, mm.
    pub bead_mm: f64,
    /// Total thickness of a raft, mm.
    pub raft_mm: f64,
}

impl Conditions {
    /// Those of a material and a recipe on a machine's bed.
    pub fn of(job: &Job, material: &Material, recipe: &Recipe, machine: &Machine) -> Self {
        Self {
            sideways_n: job.assumptions.sideways_n,
            safety_factor: job.assumptions.safety_factor,
            adhesion_mpa: material.adhesion_on(&machine.surface).0 / 1000.0,
            flexural_mpa: material.strength.flexural_mpa,
            modulus_mpa: material.strength.modulus_mpa,
            expansion_um_m_k: material.strength.expansion_um_m_k,
            limit_c: material.limit_c,
            air_c: material.air_c,
            density_g_cm3: material.density_g_cm3,
            solid_share: recipe.infill,
            first_layer_mm: recipe.first_layer_mm,
            layer_mm: recipe.layer_height_mm,
            bead_mm: recipe.bead_width_mm,
            raft_mm: recipe.raft_height_mm(),
        }
    }
    /// The same with every number sound.
    #[must_use]
    pub fn sound(mut self) -> Self {
        for v in [
            &mut self.sideways_n,
            &mut self.adhesion_mpa,
            &mut self.flexural_mpa,
            &mut self.modulus_mpa,
            &mut self.expansion_um_m_k,
            &mut self.density_g_cm3,
            &mut self.first_layer_mm,
            &mut self.layer_mm,
            &mut self.bead_mm,
            &mut self.raft_mm,
        ] {
            *v = sound(*v);
        }
        self.solid_share = sound(self.solid_share).min(1.0);
        self.safety_factor = sound(self.safety_factor).max(1.0);
        for v in [&mut self.limit_c, &mut self.air_c] {
            *v = if v.is_finite() { *v } else { 0.0 };
        }
        self
    }
    /// Stress that the adhesion may bear, MPa: with the safety factor taken off.
    pub fn allowed_mpa(&self) -> f64 {
        self.adhesion_mpa / self.safety_factor
    }
    /// Mass of so much of a part, g.
    pub fn mass_g(&self, volume_mm3: f64) -> f64 {
        volume_mm3 * self.solid_share * self.density_g_cm3 / 1000.0
    }
    /// Weight of so much of a part, N.
    pub fn weight_n(&self, volume_mm3: f64) -> f64 {
        self.mass_g(volume_mm3) / 1000.0 * GRAVITY_M_S2
    }
}

fn sound(v: f64) -> f64 {
    if v.is_finite() { v.max(0.0) } else { 0.0 }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::document::Shop;

    /// The worked cases': 1 N, 0.1 MPa, safety factor 2, solid PLA.
    pub(in crate::stability) fn worked() -> Conditions {
        Conditions {
            sideways_n: 1.0,
            safety_factor: 2.0,
            adhesion_mpa: 0.1,
            flexural_mpa: 80.0,
            modulus_mpa: 3500.0,
            expansion_um_m_k: 68.0,
            limit_c: 60.0,
            air_c: 25.0,
            density_g_cm3: 1.24,
            solid_share: 1.0,
            first_layer_mm: 0.2,
            layer_mm: 0.2,
            bead_mm: 0.45,
            raft_mm: 0.8,
        }
    }

    /// Solid PLA 20 × 20 × 100 mm weighs 0.4864 N (by hand: 40 cm³ · 1.24 g · g).
    #[test]
    fn weight() {
        assert!((worked().weight_n(40_000.0) - 0.4864).abs() < 1e-4);
    }

    #[test]
    fn of_the_starter_shop() {
        let job = Job::with_shop("", &Shop::starter());
        let c = Conditions::of(&job, &job.materials[0], &job.recipes[0], &job.machines[0]);
        assert_eq!(Conditions { solid_share: 1.0, ..c }, worked());
        assert_eq!(c.allowed_mpa(), 0.05);
    }

    #[test]
    fn nonsense_is_nothing() {
        let bad = Conditions { sideways_n: f64::NAN, safety_factor: -3.0, adhesion_mpa: f64::INFINITY, ..worked() };
        let c = bad.sound();
        assert_eq!((c.sideways_n, c.safety_factor, c.adhesion_mpa), (0.0, 1.0, 0.0));
    }
}
