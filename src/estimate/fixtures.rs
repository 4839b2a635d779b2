//! What the tests of this floor share.

use crate::document::{Fan, Machine, MachineId, Material, MaterialId};

/// PLA after the public tables: density 1.24, 1800 J/(kg K), laid at 210 °C, limit 60 °C, air 25 °C, 50 W/(m² K).
pub(crate) fn pla() -> Material {
    Material {
        id: MaterialId(1),
        name: "PLA".into(),
        density_g_cm3: 1.24,
        heat_capacity_j_kg_k: 1800.0,
        conductivity_w_m_k: 0.13,
        deposit_c: 210.0,
        limit_c: 60.0,
        air_c: 25.0,
        film_w_m2_k: 50.0,
        fan: Fan::Typed,
        bed_c: 60.0,
        strength: crate::document::Strength::default(),
        adhesions: Vec::new(),
        cost_per_kg: 20.0,
        origins: std::collections::BTreeMap::default(),
    }
}

/// A bench of 240 × 200 × 190 mm.
pub(crate) fn bench() -> Machine {
    Machine::rectangular(MachineId(1), "Bench 1", 240.0, 200.0, 190.0)
}
