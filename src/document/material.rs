//! Materials.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Adhesion, Fan, MaterialId, Strength};

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
