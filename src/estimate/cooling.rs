//! How long a layer needs before the next one may lie on it.

use super::film_w_m2_k;
use crate::document::{LayerFloor, Material, Recipe};

/// Time for a slab `thickness_mm` thick, cooled by the air from above alone, to fall from the deposit temperature to the limit:
/// `t = (ρ c h / h_c) ln((T₀ − T_a)/(T_lim − T_a))`, s.
///
/// A lumped body (Biot number under about 0.1). Conservative for parts under about 20 mm across, optimistic above, where
/// layers take longer than that anyway; heat from the bed, radiation and the nozzle's own heat are left out. `None` where the
/// limit is not between the air and the deposit temperature. Derived from the energy balance of a layer; no published source.
pub fn cooling_time_s(material: &Material, thickness_mm: f64) -> Option<f64> {
    let m = material;
    let tau = m.density_g_cm3 * m.heat_capacity_j_kg_k * thickness_mm / film_w_m2_k(m);
    let ratio = (m.deposit_c - m.air_c) / (m.limit_c - m.air_c);
    let t = tau * ratio.ln();
    (m.limit_c > m.air_c && ratio > 1.0 && t.is_finite() && t > 0.0).then_some(t)
}

/// Thickness that stands for a single bead cooled from both flanks too: w h/(w + 2 h), mm.
pub fn single_bead_thickness_mm(bead_width_mm: f64, layer_height_mm: f64) -> f64 {
    bead_width_mm * layer_height_mm / (bead_width_mm + 2.0 * layer_height_mm)
}

/// Share of [`fin_time_s`] that is asked for: layer-by-layer simulations of nine cases lie at 0.82 to 1.12 of it.
pub const FIN_SHARE: f64 = 0.65;

/// Layer time at which the top of a prism that grows steadily stays at the limit temperature, s; its section has this area and
/// perimeter, and the air cools its top and its flanks: `t = H / v`,
/// `v = (c (R − ½) + √(c²/4 + (R² − R) g)) / (R² − R)`, `R = (T₀ − T_a)/(T_lim − T_a)`, `c = h_c/(ρ c_p)`, `g = c α P/A`.
///
/// A fin in the frame of its top with the energy balance of what is laid; derived, no published source. `None` where
/// [`cooling_time_s`] is, or where the section has no area.
pub fn fin_time_s(material: &Material, height_mm: f64, area_mm2: f64, perimeter_mm: f64) -> Option<f64> {
    let m = material;
    let ratio = (m.deposit_c - m.air_c) / (m.limit_c - m.air_c);
    // J/(mm³ K): millimetres all through.
    let heat = m.density_g_cm3 * m.heat_capacity_j_kg_k * 1e-6;
    let c = film_w_m2_k(m) * 1e-6 / heat;
    let diffusivity = m.conductivity_w_m_k * 1e-3 / heat;
    let g = c * diffusivity * perimeter_mm / area_mm2;
    let spread = ratio * ratio - ratio;
    let v = (c * (ratio - 0.5) + (c * c / 4.0 + spread * g).sqrt()) / spread;
    let t = height_mm / v;
    (m.limit_c > m.air_c && ratio > 1.0 && area_mm2 > 0.0 && t.is_finite() && t > 0.0).then_some(t)
}

/// Minimum time of a layer, s: typed in, or from the material, by the size of its section where the recipe says so; `None` where
/// none is set or nothing is there to cool.
pub fn minimum_s(
    material: &Material,
    recipe: &Recipe,
    height_mm: f64,
    area_mm2: f64,
    perimeter_mm: f64,
) -> Option<f64> {
    match recipe.floor {
        LayerFloor::None => None,
        LayerFloor::Typed { seconds } => (seconds > 0.0 && seconds.is_finite()).then_some(seconds),
        LayerFloor::Material => cooling_time_s(material, height_mm),
        LayerFloor::MaterialBySize => fin_time_s(material, height_mm, area_mm2, perimeter_mm).map(|t| FIN_SHARE * t),
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

    /// Sections with area and perimeter of squares, against the closed form by script and a one-dimensional simulation layer by
    /// layer (finite volumes, the mean of the top layer at the limit just before the next one is laid).
    #[test]
    fn by_size() {
        let film = |film_w_m2_k| Material { film_w_m2_k, ..pla() };
        let petg = Material {
            density_g_cm3: 1.27,
            heat_capacity_j_kg_k: 1200.0,
            conductivity_w_m_k: 0.29,
            deposit_c: 240.0,
            limit_c: 80.0,
            ..pla()
        };
        let abs = Material {
            density_g_cm3: 1.04,
            heat_capacity_j_kg_k: 1400.0,
            conductivity_w_m_k: 0.23,
            limit_c: 105.0,
            ..petg.clone()
        };
        for (material, side, height, lumped, fin, simulated) in [
            (film(50.0), 5.0, 0.2, 14.87, 17.33, 9.47),
            (film(50.0), 10.0, 0.2, 14.87, 20.93, 12.2),
            (film(50.0), 20.0, 0.2, 14.87, 24.50, 15.0),
            (film(50.0), 50.0, 0.2, 14.87, 28.84, 18.5),
            (film(100.0), 10.0, 0.2, 7.43, 12.25, 6.54),
            (petg, 10.0, 0.2, 8.31, 8.09, 5.51),
            (abs, 10.0, 0.2, 5.76, 5.16, 3.67),
            (film(50.0), 10.0, 0.3, 22.30, 31.39, 16.7),
        ] {
            near(cooling_time_s(&material, height), lumped, 5e-3);
            let t = fin_time_s(&material, height, side * side, 4.0 * side);
            near(t, fin, 5e-3);
            // The simulated times are given to three digits.
            let share = simulated / (FIN_SHARE * t.unwrap_or(f64::NAN));
            assert!((0.815..=1.125).contains(&share), "{side} mm: {share}");
        }
        // A wall without end has no flanks: v = c/(R − 1).
        let wide = fin_time_s(&pla(), 0.2, 1e12, 0.0);
        near(wide, 0.2e-3 * (185.0 / 35.0 - 1.0) / (50.0 / (1240.0 * 1800.0)), 1e-3);
    }

    #[test]
    fn typed_none_and_nonsense() {
        let of = |floor| minimum_s(&pla(), &Recipe { floor, ..Recipe::plain(RecipeId(1)) }, 0.2, 100.0, 40.0);
        assert_eq!(of(LayerFloor::None), None);
        assert_eq!(of(LayerFloor::Typed { seconds: 9.0 }), Some(9.0));
        assert_eq!(of(LayerFloor::Typed { seconds: f64::NAN }), None);
        near(of(LayerFloor::Material), 14.8652, 5e-5);
        near(of(LayerFloor::MaterialBySize), 0.65 * 20.925_273, 1e-4);
        for (area, around) in [(0.0, 0.0), (-1.0, 4.0), (f64::NAN, 4.0), (4.0, f64::NAN), (1.0, f64::INFINITY)] {
            assert_eq!(fin_time_s(&pla(), 0.2, area, around), None, "{area} {around}");
        }
        for odd in [
            Material { limit_c: 20.0, ..pla() },
            Material { limit_c: 250.0, ..pla() },
            Material { film_w_m2_k: 0.0, ..pla() },
        ] {
            assert_eq!(cooling_time_s(&odd, 0.2), None);
            assert_eq!(fin_time_s(&odd, 0.2, 100.0, 40.0), None);
        }
    }
}
