//! How long a bed cools before parts come off.

use crate::document::{Changeover, Machine, Material};

/// Closest that a removal temperature is taken to the air's, K: a bed never quite reaches it.
const NEAREST_K: f64 = 0.5;

/// Time from the end of a print until the bed is below the removal temperature, s. Newton's law of cooling: `τ ln((T_bed − T_air)/(T_removal − T_air))`, with the machine's time constant τ (textbook).
pub fn cool_down_s(machine: &Machine, material: &Material, changeover: &Changeover) -> f64 {
    let over = |t: f64| (t - material.air_c).max(NEAREST_K);
    let ratio = over(material.bed_c) / over(changeover.removal_c);
    let s = machine.bed_cooling_s * ratio.ln();
    if s.is_finite() { s.max(0.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{MachineId, Shop};

    /// From 60 to 43 °C in air of 25 °C with τ = 900 s: 900 ln(35/18) = 598.5 s by hand; after one time constant 1/e of the difference is left.
    #[test]
    fn newtons_law() {
        let shop = Shop::starter();
        let machine = Machine { bed_cooling_s: 900.0, ..Machine::rectangular(MachineId(1), "", 200.0, 200.0, 200.0) };
        let of = |bed_c, removal_c| {
            let material = Material { bed_c, air_c: 25.0, ..shop.materials[0].clone() };
            cool_down_s(&machine, &material, &Changeover { removal_c, ..Changeover::default() })
        };
        assert!((of(60.0, 43.0) - 598.5).abs() < 0.05);
        assert!((of(60.0, 25.0 + 35.0 / std::f64::consts::E) - 900.0).abs() < 1e-9);
        assert_eq!(of(40.0, 43.0), 0.0);
        // Never quite as cold as the air: τ ln 70.
        assert!((of(60.0, 25.0) - 900.0 * 70.0_f64.ln()).abs() < 1e-9);
        assert_eq!(of(60.0, 10.0), of(60.0, 25.0));
    }
}
