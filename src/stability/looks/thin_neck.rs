//! Thin neck: a section that carries much above it.

use super::{Look, LookKind};
use crate::stability::{Conditions, MassLayer, MassProfile};

/// A section under this share of the largest ones below and above it is a neck. Common practice, no source.
const LEAST_SHARE: f64 = 0.25;
/// It carries much when this share of the volume lies above it. Common practice, no source.
const CARRIED: f64 = 0.2;
/// A neck that a push stresses by less than this share of what is allowed is none to look at. Ours, no source.
const LEAST_STRESS: f64 = 0.1;

pub(super) fn look(mass: &MassProfile, c: &Conditions) -> Option<Look> {
    let layers = mass.layers();
    // Largest section above each layer.
    let mut above = vec![0.0_f64; layers.len()];
    for i in (1..layers.len()).rev() {
        above[i - 1] = above[i].max(layers[i].area_mm2);
    }
    let mut below = 0.0_f64;
    let mut worst: Option<(f64, f64, &MassLayer)> = None;
    let whole = mass.volume_mm3();
    for (i, l) in layers.iter().enumerate() {
        let share = l.area_mm2 / below.min(above[i]);
        let carried = (whole - l.volume_mm3) / whole;
        if l.area_mm2 > 0.0 && share < LEAST_SHARE && carried >= CARRIED && worst.is_none_or(|(s, ..)| share < s) {
            worst = Some((share, carried, l));
        }
        below = below.max(l.area_mm2);
    }
    let (share, carried, l) = worst?;
    let stress_mpa = c.sideways_n * (mass.height_mm() - l.top_mm) / l.modulus_mm3;
    let allowed = c.flexural_mpa / c.safety_factor;
    if stress_mpa < LEAST_STRESS * allowed {
        return None;
    }
    let bends = if stress_mpa.is_finite() {
        format!(
            "A push of {} N on the top stresses it with {stress_mpa:.1} MPa; {allowed:.0} MPa are allowed (assumed).",
            c.sideways_n
        )
    } else {
        "A push on the top bends it without resistance.".into()
    };
    Some(Look {
        kind: LookKind::ThinNeck,
        height_mm: l.top_mm,
        value: share,
        threshold: LEAST_SHARE,
        text: format!(
            "has a thin neck at {:.1} mm: {:.1} mm² carry {:.0} % of the volume",
            l.top_mm,
            l.area_mm2,
            carried * 100.0
        ),
        why: bends,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::{
        conditions::tests::worked,
        samples::{measured, prism, square},
    };

    /// 20 mm below and above, 2 mm between: 4 of 400 mm²; 1 N at 20 mm above the neck's foot over S = 8 / (6 √2) (by hand).
    #[test]
    fn a_neck_of_two_millimetres() {
        let sections = [prism(square(20.0), 50), prism(square(2.0), 10), prism(square(20.0), 50)].concat();
        let look = look(&measured(&sections), &worked()).expect("a neck");
        assert!((look.value - 0.01).abs() < 1e-9 && (look.height_mm - 10.2).abs() < 1e-9);
        assert_eq!(look.text, "has a thin neck at 10.2 mm: 4.0 mm² carry 50 % of the volume");
        let stress = (22.0 - 10.2) / (8.0 / (6.0 * 2.0_f64.sqrt()));
        assert!(look.why.contains(&format!("{stress:.1} MPa; 40 MPa")), "{}", look.why);
    }

    /// The same neck 6 mm wide: 36 of 400 mm², and S = 216 / (6 √2): 0.46 MPa of 40.
    #[test]
    fn a_neck_that_a_push_hardly_stresses_is_none() {
        let sections = [prism(square(20.0), 50), prism(square(6.0), 10), prism(square(20.0), 50)].concat();
        assert_eq!(look(&measured(&sections), &worked()), None);
    }

    #[test]
    fn a_tip_and_a_thin_start_are_none() {
        let tip = [prism(square(20.0), 50), prism(square(2.0), 10)].concat();
        let start = [prism(square(2.0), 10), prism(square(20.0), 50)].concat();
        let knob = [prism(square(20.0), 90), prism(square(2.0), 10), prism(square(6.0), 10)].concat();
        for sections in [tip, start, knob] {
            assert_eq!(look(&measured(&sections), &worked()), None);
        }
    }
}
