//! Wobble: how far the nozzle bends a part.

use super::{Look, LookKind};
use crate::stability::{Conditions, MassProfile};

/// What deflections end at, mm: it does not stand.
const MOST_MM: f64 = 1e3;

/// How far the sideways force bends the part at its top, mm, in its weakest direction and with its foot held fast; at most a metre. Of a
/// prism F z³ / (3 E I) (handbook, cantilever); else ∫ F (z − s)² / (E I(s)) ds over its layers. Walls and infill count as solid.
pub fn deflection_mm(mass: &MassProfile, conditions: &Conditions) -> f64 {
    let c = conditions.sound();
    let top = mass.height_mm();
    let mut sum = 0.0;
    for l in mass.layers().iter().filter(|l| l.area_mm2 > 0.0 && l.bottom_mm < top) {
        let lever = |z: f64| (top - z).max(0.0).powi(3) / 3.0;
        let arm = lever(l.bottom_mm) - lever(l.top_mm);
        let bend = c.sideways_n * arm / (c.modulus_mpa * l.inertia_mm4);
        // 0 / 0: nothing pushes on what does not resist.
        sum += if bend.is_nan() { 0.0 } else { bend };
    }
    sum.min(MOST_MM)
}

pub(super) fn look(mass: &MassProfile, c: &Conditions) -> Option<Look> {
    let (value, threshold) = (deflection_mm(mass, c), c.layer_mm);
    let height_mm = mass.height_mm();
    (threshold > 0.0 && value > threshold).then(|| Look {
        kind: LookKind::Wobble,
        height_mm,
        value,
        threshold,
        text: format!("wobbles: a {} N push bends it by {value:.2} mm at {height_mm:.1} mm", c.sideways_n),
        why: format!("That is more than a layer of {threshold} mm: the nozzle may catch on it although it sticks (force assumed)."),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::{
        conditions::tests::worked,
        samples::{measured, prism, rectangle, square},
    };

    /// 1 N at 150 mm on 10 × 10 mm, E 3500 MPa: 0.3857 mm, two layer heights.
    #[test]
    fn a_column_of_150_mm() {
        let sections = prism(square(10.0), 750);
        let bend = deflection_mm(&measured(&sections), &worked());
        assert!((bend - 0.385_714).abs() < 1e-6, "{bend}");
        let look = look(&measured(&sections), &worked()).expect("two layers");
        assert_eq!(look.text, "wobbles: a 1 N push bends it by 0.39 mm at 150.0 mm");
    }

    /// The lower half twice as deep in both directions: I is 16 times as large; by hand F (7 h³ / 16 + h³) / (3 E I), h = 50 mm.
    #[test]
    fn a_stepped_column_in_its_weakest_direction() {
        let sections = [prism(rectangle(40.0, 20.0), 250), prism(rectangle(20.0, 10.0), 250)].concat();
        let inertia = 20.0 * 1000.0 / 12.0;
        let asked = (7.0 * 125_000.0 / 16.0 + 125_000.0) / (3.0 * 3500.0 * inertia);
        let bend = deflection_mm(&measured(&sections), &worked());
        assert!((bend / asked - 1.0).abs() < 1e-9, "{bend} {asked}");
    }

    #[test]
    fn ends() {
        let mass = measured(&prism(square(10.0), 100));
        assert_eq!(deflection_mm(&mass, &Conditions { modulus_mpa: 0.0, ..worked() }), MOST_MM);
        assert_eq!(deflection_mm(&mass, &Conditions { modulus_mpa: 0.0, sideways_n: 0.0, ..worked() }), 0.0);
        assert_eq!(deflection_mm(&measured(&[]), &worked()), 0.0);
    }
}
