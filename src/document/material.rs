//! Materials.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{ASSUMED, ASSUMED_ADHESION_KPA, Adhesion, Fan, MaterialId, Strength};

/// A filament material. Every constant is the person's to change; `origins` says where each came from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Material {
    /// Its id in the job.
    pub id: MaterialId,
    /// "PLA".
    pub name: String,
    /// Density, g/cm³.
    pub density_g_cm3: f64,
    /// Specific heat, J/(kg K).
    pub heat_capacity_j_kg_k: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Deposit temperature: that of a bead as it is laid, °C.
    pub deposit_c: f64,
    /// Limit temperature: a layer below it can take the next one, °C.
    pub limit_c: f64,
    /// Air round the part, °C.
    pub air_c: f64,
    /// Heat transfer from the top layer to the air as typed, W/(m² K); it counts where [`Self::fan`] is [`Fan::Typed`].
    pub film_w_m2_k: f64,
    /// Temperature of the bed, °C.
    #[serde(default = "bed_c")]
    pub bed_c: f64,
    /// What the heat transfer comes from.
    #[serde(default, skip_serializing_if = "Fan::is_typed")]
    pub fan: Fan,
    /// Price per kilogram, in the shop's own currency.
    pub cost_per_kg: f64,
    /// Strength, stiffness and thermal expansion.
    #[serde(default, skip_serializing_if = "Strength::is_default")]
    pub strength: Strength,
    /// How firmly it sticks, a line for each bed surface.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub adhesions: Vec<Adhesion>,
    /// Field name → where its value came from.
    #[serde(default)]
    pub origins: BTreeMap<String, String>,
}

fn bed_c() -> f64 {
    60.0
}

impl Material {
    /// The adhesion on a surface, kPa, and where it came from: the entry of that surface, else the one of every surface, else
    /// [`ASSUMED_ADHESION_KPA`].
    pub fn adhesion_on(&self, surface: &str) -> (f64, &str) {
        let of = |name: &str| self.adhesions.iter().find(|a| a.surface == name);
        of(surface).or_else(|| of("")).map_or((ASSUMED_ADHESION_KPA, ASSUMED), |a| (a.kpa, a.origin_words()))
    }
    /// Where a constant came from: "assumed" where nothing is written down.
    pub fn origin(&self, field: &str) -> &str {
        self.origins.get(field).map_or(ASSUMED, String::as_str)
    }
}
