//! How long a layer needs before the next one may lie on it.

use crate::document::{LayerFloor, Material, Recipe};

/// Time for a slab `thickness_mm` thick, cooled by the air from above alone, to fall from the deposit temperature to the limit:
/// `t = (ρ c h / h_c) ln((T₀ − T_a)/(T_lim − T_a))`, s.
///
/// A lumped body (Biot number under about 0.1). Conservative for parts under about 20 mm across, optimistic above, where
/// layers take longer than that anyway; heat from the bed, radiation and the nozzle's own heat are left out. `None` where the
/// limit is not between the air and the deposit temperature. Derived from the energy balance of a layer; no published source.
pub fn cooling_time_s(material: &Material, thickness_mm: f64) -> Option<f64> {
    let m = material;
    let tau = m.density_g_cm3 * m.heat_capacity_j_kg_k * thickness_mm / m.film_w_m2_k;
    let ratio = (m.deposit_c - m.air_c) / (m.limit_c - m.air_c);
    let t = tau * ratio.ln();
    (m.limit_c > m.air_c && ratio > 1.0 && t.is_finite() && t > 0.0).then_some(t)
}

/// Thickness that stands for a single bead cooled from both flanks too: w h/(w + 2 h), mm.
pub fn single_bead_thickness_mm(bead_width_mm: f64, layer_height_mm: f64) -> f64 {
    bead_width_mm * layer_height_mm / (bead_width_mm + 2.0 * layer_height_mm)
}

/// Minimum time of a layer of the recipe's layer height, s: typed in, or from the material; `None` where none is set.
pub fn minimum_layer_time_s(material: &Material, recipe: &Recipe) -> Option<f64> {
    minimum_for_height_s(material, recipe, recipe.layer_height_mm)
}

/// The same for a layer of another height, as the first one may be.
pub fn minimum_for_height_s(material: &Material, recipe: &Recipe, height_mm: f64) -> Option<f64> {
    match recipe.floor {
        LayerFloor::None => None,
        LayerFloor::Typed { seconds } => (seconds > 0.0 && seconds.is_finite()).then_some(seconds),
        LayerFloor::Material => cooling_time_s(material, height_mm),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{document::RecipeId, estimate::fixtures::pla};

    fn near(value: Option<f64>, wanted: f64, tolerance: f64) {
        let value = value.unwrap_or(f64::NAN);
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
    }

    /// Table of the lumped floor for PLA, PETG, ABS (computed by script from the formula; properties from public tables).
    #[test]
    fn lumped_floor() {
        let film = |film_w_m2_k| Material { film_w_m2_k, ..pla() };
        near(cooling_time_s(&film(50.0), 0.2), 14.8652, 5e-5);
        near(cooling_time_s(&film(30.0), 0.2), 24.78, 5e-3);
        near(cooling_time_s(&film(100.0), 0.2), 7.433, 5e-4);
        near(cooling_time_s(&film(50.0), 0.1), 7.433, 5e-4);
        near(cooling_time_s(&film(50.0), 0.3), 22.298, 1e-3);
        near(cooling_time_s(&film(50.0), single_bead_thickness_mm(0.45, 0.2)), 7.8698, 5e-4);
        let petg =
            Material { density_g_cm3: 1.27, heat_capacity_j_kg_k: 1200.0, deposit_c: 240.0, limit_c: 80.0, ..pla() };
        near(cooling_time_s(&petg, 0.2), 8.31, 5e-3);
        let abs =
            Material { density_g_cm3: 1.04, heat_capacity_j_kg_k: 1400.0, deposit_c: 240.0, limit_c: 105.0, ..pla() };
        near(cooling_time_s(&abs, 0.2), 5.76, 5e-3);
    }

    #[test]
    fn typed_none_and_nonsense() {
        let recipe = |floor| Recipe { floor, ..Recipe::plain(RecipeId(1)) };
        assert_eq!(minimum_layer_time_s(&pla(), &recipe(LayerFloor::None)), None);
        assert_eq!(minimum_layer_time_s(&pla(), &recipe(LayerFloor::Typed { seconds: 9.0 })), Some(9.0));
        assert_eq!(minimum_layer_time_s(&pla(), &recipe(LayerFloor::Typed { seconds: f64::NAN })), None);
        near(minimum_layer_time_s(&pla(), &recipe(LayerFloor::Material)), 14.8652, 5e-5);
        for odd in [
            Material { limit_c: 20.0, ..pla() },
            Material { limit_c: 250.0, ..pla() },
            Material { film_w_m2_k: 0.0, ..pla() },
        ] {
            assert_eq!(cooling_time_s(&odd, 0.2), None);
        }
    }
}
