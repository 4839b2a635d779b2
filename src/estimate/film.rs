//! Heat transfer from a part to the air that a fan blows across it.

use crate::document::Material;

/// Diameter of the cylinder that stands for a part, mm. An assumption, no source: small parts and thin walls, which are those that
/// need to cool, are about so wide; the heat transfer falls with its square root.
pub const PART_DIAMETER_MM: f64 = 10.0;

/// Air at 1 atm: K, kinematic viscosity 10⁻⁶ m²/s, conductivity 10⁻³ W/(m K), Prandtl number. Incropera et al., Fundamentals of
/// Heat and Mass Transfer, table A.4, from memory; `tests/referees/test_cooling.py` holds it against Sutherland's laws.
const AIR: [[f64; 4]; 6] = [
    [250.0, 11.44, 22.3, 0.720],
    [300.0, 15.89, 26.3, 0.707],
    [350.0, 20.92, 30.0, 0.700],
    [400.0, 26.41, 33.8, 0.690],
    [450.0, 32.39, 37.3, 0.686],
    [500.0, 38.79, 40.7, 0.684],
];

/// Heat transfer from a layer to the air, W/(m² K): as typed, or by the choice of fan.
///
/// By the fan: a cylinder of [`PART_DIAMETER_MM`] in cross-flow at the fan's air speed (Churchill & Bernstein 1977), air at the film
/// temperature, which is the mean of the air and a surface halfway between deposit and limit temperature. Radiation is left out.
pub fn film_w_m2_k(m: &Material) -> f64 {
    let Some(air_m_s) = m.fan.air_m_s() else { return m.film_w_m2_k };
    let surface_c = f64::midpoint(m.deposit_c, m.limit_c);
    let [viscosity, conductivity, prandtl] = air_at(f64::midpoint(surface_c, m.air_c) + 273.15);
    let diameter_m = PART_DIAMETER_MM / 1000.0;
    let reynolds = air_m_s * diameter_m / viscosity;
    cylinder_nusselt(reynolds, prandtl) * conductivity / diameter_m
}

/// Mean Nusselt number of a cylinder in cross-flow, for Re Pr > 0.2: Churchill & Bernstein, A correlating equation for forced
/// convection from gases and liquids to a circular cylinder in crossflow, J. Heat Transfer 99 (1977) 300–306.
fn cylinder_nusselt(reynolds: f64, prandtl: f64) -> f64 {
    let laminar = 0.62 * reynolds.sqrt() * prandtl.cbrt() / (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).powf(0.25);
    0.3 + laminar * (1.0 + (reynolds / 282_000.0).powf(5.0 / 8.0)).powf(0.8)
}

/// Viscosity m²/s, conductivity W/(m K) and Prandtl number of air at 1 atm; beyond the table as at its end.
fn air_at(kelvin: f64) -> [f64; 3] {
    let kelvin = kelvin.clamp(AIR[0][0], AIR[AIR.len() - 1][0]);
    let above = AIR.partition_point(|row| row[0] < kelvin).clamp(1, AIR.len() - 1);
    let (low, high) = (AIR[above - 1], AIR[above]);
    let share = (kelvin - low[0]) / (high[0] - low[0]);
    let at = |i: usize| low[i] + share * (high[i] - low[i]);
    [at(1) * 1e-6, at(2) * 1e-3, at(3)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{document::Fan, estimate::fixtures::pla};

    /// Incropera et al., example of a cylinder in cross-flow, from memory: 12.7 mm across, air of 26.2 °C at 10 m/s, surface at
    /// 128.4 °C. With air at 350 K: Re = 6071, Nu = 40.6, h = 96 W/(m² K); measured 102.
    #[test]
    fn the_textbook_cylinder() {
        let [viscosity, conductivity, prandtl] = air_at(350.0);
        let reynolds = 10.0 * 0.0127 / viscosity;
        assert!((reynolds - 6071.0).abs() < 1.0, "{reynolds}");
        let nusselt = cylinder_nusselt(reynolds, prandtl);
        assert!((nusselt - 40.6).abs() < 0.05, "{nusselt}");
        assert!((nusselt * conductivity / 0.0127 - 96.0).abs() < 0.1);
    }

    /// Table of the air: between its rows straight lines, beyond its ends the ends.
    #[test]
    fn air_between_the_rows() {
        for (is, should) in air_at(325.0).into_iter().zip([18.405e-6, 28.15e-3, 0.7035]) {
            assert!((is / should - 1.0).abs() < 1e-12, "{is} {should}");
        }
        assert_eq!((air_at(100.0), air_at(2000.0)), (air_at(250.0), air_at(500.0)));
    }

    /// Each fan cools better than the one before, within what is common practice: 10 to 20 without a fan, 30 to 50, 50 to 100 (no source).
    #[test]
    fn fans_in_their_order() {
        let of = |fan| film_w_m2_k(&Material { fan, ..pla() });
        assert_eq!(of(Fan::Typed), 50.0);
        for (fan, least, most) in [(Fan::Off, 10.0, 20.0), (Fan::Light, 30.0, 50.0), (Fan::Strong, 50.0, 100.0)] {
            assert!((least..=most).contains(&of(fan)), "{fan:?} {}", of(fan));
        }
        let doubled = Material { film_w_m2_k: 100.0, fan: Fan::Light, ..pla() };
        assert_eq!(film_w_m2_k(&doubled), of(Fan::Light), "what is typed does not count beside a fan");
    }
}
