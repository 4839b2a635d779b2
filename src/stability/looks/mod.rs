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

use super::{Conditions, MassProfile, Stance};
use crate::{document::Footing, geom::Region};

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

/// Those looks that still hold for a part on a footing: what it stands on is the footing then. A small contact and a narrow base are
/// judged by the stance; on a raft neither is said, and no thin start: the raft is the wide first layers that it lacks.
pub fn looks_on(
    all: Vec<Look>,
    mass: &MassProfile,
    footing: Footing,
    stance: &Stance,
    conditions: &Conditions,
) -> Vec<Look> {
    let on_raft = matches!(footing, Footing::Raft { .. });
    let holds = |l: &Look| match (footing, l.kind) {
        (Footing::Bare, _) => true,
        (_, LookKind::SmallContact) => !on_raft && small_contact::is_small(mass, stance.area_mm2, &conditions.sound()),
        (_, LookKind::ThinStart) => !on_raft,
        // What is common practice for such a part is done.
        (_, LookKind::Slender) => !on_raft && l.value > SLENDER_RAFT,
        _ => true,
    };
    all.into_iter().filter(holds).collect()
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

    /// A pin of 5 mm and 100 mm: slender, wobbling, with little contact. The brim that is common practice for it is a raft.
    #[test]
    fn a_footing_is_what_a_part_stands_on() {
        let sections = prism(square(5.0), 500);
        let (mass, c) = (measured(&sections), worked());
        let on = |footing| {
            let all = looks(&mass, &sections[0], false, &c);
            let stance = Stance::new(&sections[0], None, footing, &c);
            looks_on(all, &mass, footing, &stance, &c).into_iter().map(|l| l.kind).collect::<Vec<_>>()
        };
        assert_eq!(on(Footing::Bare), [LookKind::Slender, LookKind::Wobble, LookKind::SmallContact]);
        // 20 to 1 wants more than a brim; its contact with the brim is more than 10 mm² a gram.
        assert_eq!(on(Footing::Brim { width_mm: 5.0 }), [LookKind::Slender, LookKind::Wobble]);
        assert_eq!(on(Footing::Raft { width_mm: 5.0 }), [LookKind::Wobble]);
    }

    /// A brim that hardly widens the contact does not change what is said.
    #[test]
    fn a_brim_counts_with_its_own_area() {
        let sections = prism(square(2.0), 10).into_iter().chain(prism(square(40.0), 100)).collect::<Vec<_>>();
        let (mass, c) = (measured(&sections), worked());
        let has = |width_mm| {
            let footing = Footing::Brim { width_mm };
            let stance = Stance::new(&sections[0], None, footing, &c);
            let all = looks(&mass, &sections[0], false, &c);
            looks_on(all, &mass, footing, &stance, &c).iter().any(|l| l.kind == LookKind::SmallContact)
        };
        // 40 x 40 x 20 mm of 1.24 g/cm3 are 39.7 g: 397 mm2 are wanted; 2 mm and a brim of 3.27 mm at most that holds have 64.
        assert!(has(0.5) && has(20.0));
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
