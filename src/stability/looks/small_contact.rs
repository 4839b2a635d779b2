//! Little contact for the mass on it.

use super::{Look, LookKind, thin_start::sound};
use crate::{
    geom::Region,
    stability::{Conditions, MassProfile},
};

/// Less contact than this for each gram of solid part is worth a look, mm²/g. Common practice, no source: a cube of 80 mm of PLA has ten.
const LEAST_MM2_G: f64 = 10.0;

/// Is an area too small for the mass on it?
pub(super) fn is_small(mass: &MassProfile, area_mm2: f64, c: &Conditions) -> bool {
    let grams = solid_g(mass, c);
    grams > 0.0 && sound(area_mm2) / grams < LEAST_MM2_G
}

/// As if solid: the infill does not change what is worth a look.
fn solid_g(mass: &MassProfile, c: &Conditions) -> f64 {
    Conditions { solid_share: 1.0, ..*c }.mass_g(mass.volume_mm3())
}

pub(super) fn look(mass: &MassProfile, contact: &Region, c: &Conditions) -> Option<Look> {
    let grams = solid_g(mass, c);
    let area = sound(contact.area());
    let value = area / grams;
    is_small(mass, area, c).then(|| Look {
        kind: LookKind::SmallContact,
        height_mm: 0.0,
        value,
        threshold: LEAST_MM2_G,
        text: format!("hardly touches the bed: {area:.1} mm² of contact for {grams:.1} g ({value:.1} mm² a gram)"),
        why: format!("Under {LEAST_MM2_G} mm² a gram a part is easily knocked loose."),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::{
        conditions::tests::worked,
        samples::{measured, prism, square},
    };

    /// By hand: 20 × 20 × 20 mm of 1.24 g/cm³ is 9.92 g; 4 mm² are 0.4 mm²/g, all 400 mm² are 40.
    #[test]
    fn a_cube_on_a_point() {
        let mass = measured(&prism(square(20.0), 100));
        assert_eq!(look(&mass, &square(20.0), &worked()), None);
        let look = look(&mass, &square(2.0), &worked()).expect("a point");
        assert!((look.value - 4.0 / 9.92).abs() < 1e-9);
        assert_eq!(look.text, "hardly touches the bed: 4.0 mm² of contact for 9.9 g (0.4 mm² a gram)");
    }
}
