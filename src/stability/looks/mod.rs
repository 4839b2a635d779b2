//! What is worth a look before a night is committed: one rule a file.
//!
//! - [`Look`], [`LookKind`]: what, at which height, how much
//! - `thin_start`, `thin_neck`, `slender`, `wobble`, `small_contact`, `warp`, `mid_air`: the rules

mod look;
mod mid_air;
mod slender;
mod small_contact;
mod thin_neck;
mod thin_start;
mod warp;
mod wobble;

pub use look::{Look, LookKind};
pub use slender::{SLENDER_BRIM, SLENDER_LOOK, SLENDER_RAFT, slenderness};
pub use warp::{Warp, corner_lift_mm, warp};
pub use wobble::deflection_mm;

use super::{Conditions, MassProfile};
use crate::geom::Region;

/// All looks at a part, in the order of [`LookKind`]. `supported` says that the recipe supports what hangs over: then nothing starts
/// in mid-air.
pub fn looks(mass: &MassProfile, contact: &Region, supported: bool, conditions: &Conditions) -> Vec<Look> {
    let c = conditions.sound();
    let mut all = Vec::new();
    all.extend(thin_start::look(mass, contact));
    all.extend(thin_neck::look(mass, &c));
    all.extend(slender::look(mass, contact));
    all.extend(wobble::look(mass, &c));
    all.extend(small_contact::look(mass, contact, &c));
    all.extend(warp::look(mass, contact, &c));
    if !supported {
        all.extend(mid_air::look(mass));
    }
    all
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{
        geom::{Placement, Point},
        stability::{
            conditions::tests::worked,
            samples::{measured, prism, rectangle, square},
        },
    };

    fn kinds(sections: &[Region]) -> Vec<LookKind> {
        looks(&measured(sections), &sections[0], false, &worked()).into_iter().map(|l| l.kind).collect()
    }

    #[test]
    fn a_cube_is_worth_no_look_and_a_peg_several() {
        assert!(kinds(&prism(square(20.0), 100)).is_empty());
        assert_eq!(kinds(&prism(square(5.0), 500)), [LookKind::Slender, LookKind::Wobble, LookKind::SmallContact]);
    }

    #[test]
    fn nothing_is_worth_none() {
        assert!(looks(&measured(&[]), &Region::EMPTY, false, &worked()).is_empty());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// Numbers and heights are finite, and a turn about Z changes neither.
        #[test]
        fn looks_are_sound(w in 1e-6..60.0_f64, d in 1e-6..60.0_f64, neck in 0.0..1.0_f64, turn in 0.0..6.3_f64, n in -2.0..9.0_f64) {
            let mut sections = prism(rectangle(w, d), 60);
            for s in &mut sections[20..30] {
                *s = s.map(|p| p * neck);
            }
            let c = Conditions { sideways_n: n, modulus_mpa: n * 400.0, ..worked() };
            let turned: Vec<Region> = sections.iter().map(|s| s.placed(Placement::new(30.0, 4.0, turn))).collect();
            let (one, other) = (looks(&measured(&sections), &sections[0], false, &c), looks(&measured(&turned), &turned[0], false, &c));
            for l in &one {
                prop_assert!(l.value.is_finite() && l.threshold.is_finite() && l.height_mm.is_finite() && !l.text.is_empty());
            }
            // Rounding may tip a value that lies on its threshold.
            if one.len() == other.len() {
                for (a, b) in one.iter().zip(&other) {
                    prop_assert!((a.value - b.value).abs() <= 1e-4 * a.value.abs().max(1e-6), "{:?} {:?}", a, b);
                }
            }
        }
        #[test]
        fn bad_contacts(x in proptest::num::f64::ANY) {
            let bad = square(10.0).map(|p| Point::new(p.x * x, p.y));
            for l in looks(&measured(&prism(square(4.0), 200)), &bad, false, &worked()) {
                prop_assert!(l.value.is_finite(), "{:?}", l);
            }
        }
    }
}
