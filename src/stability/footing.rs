//! Which footing a part needs: the least that reaches the wanted margin.

use super::{
    Conditions, Judgement, MassProfile, Stance, effective_width_mm, judge,
    looks::{SLENDER_BRIM, slenderness, warp},
    margin_words,
};
use crate::{document::Footing, geom::Region};

/// Widths are tried in steps of this, mm.
const STEP_MM: f64 = 0.5;
/// The widest brim or raft suggested, mm.
pub const WIDEST_MM: f64 = 20.0;
/// A brim for corners and slender parts, mm. Common practice, no source.
pub const USUAL_BRIM_MM: f64 = 5.0;

/// The least footing that reaches the wanted margin, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// The footing.
    pub footing: Footing,
    /// The margin with it.
    pub margin: f64,
    /// Whether that is the wanted one; where not, no footing reaches it: turn the part or support it.
    pub is_enough: bool,
    /// One line: "brim 3.5 mm: margin 1.1 (bare 0.70)".
    pub reason: String,
}

/// The least brim, in steps of half a millimetre up to [`WIDEST_MM`], with which the margin is at least `wanted`; 0 where none is needed,
/// `None` where no brim is enough, because wider ones only lift.
pub fn brim_reaching_mm(
    mass: &MassProfile,
    contact: &Region,
    supports: Option<&Region>,
    conditions: &Conditions,
    wanted: f64,
) -> Option<f64> {
    least_width_mm(&|width_mm| Footing::Brim { width_mm }, mass, contact, supports, conditions, wanted)
}

/// Suggests a footing for a part: bare where that is enough, else a brim where one is enough, else a raft. A slender part or one that
/// may warp gets the usual brim even so (common practice, no source). `wanted` is the margin to reach: 1 with the safety factor in it.
pub fn suggest_footing(
    mass: &MassProfile,
    contact: &Region,
    supports: Option<&Region>,
    conditions: &Conditions,
    wanted: f64,
) -> Suggestion {
    let c = conditions.sound();
    let wanted = if wanted.is_finite() { wanted.max(0.0) } else { 1.0 };
    let margin = |footing| judged(footing, mass, contact, supports, &c).margin();
    let bare = margin(Footing::Bare);
    if bare >= wanted {
        let slender = slenderness(mass, contact).filter(|s| *s > SLENDER_BRIM);
        let warps = super::looks(mass, contact, true, &c).iter().any(|l| l.kind == super::LookKind::Warp);
        let why = match (slender, warp(mass, contact, &c)) {
            (Some(s), _) => format!("{s:.1} to 1 is slender"),
            (None, Some(w)) if warps => format!("{:.0} mm long, corners may lift", w.longest_mm),
            _ => {
                let reason = format!("bare: margin {}", margin_words(bare));
                return Suggestion { footing: Footing::Bare, margin: bare, is_enough: true, reason };
            }
        };
        let footing = Footing::Brim { width_mm: USUAL_BRIM_MM };
        let reason = format!("brim {USUAL_BRIM_MM} mm: {why}; common practice (margin {} bare)", margin_words(bare));
        return Suggestion { footing, margin: margin(footing), is_enough: true, reason };
    }
    let kinds: [(&str, &dyn Fn(f64) -> Footing); 2] =
        [("brim", &|width_mm| Footing::Brim { width_mm }), ("raft", &|width_mm| Footing::Raft { width_mm })];
    for (word, of) in kinds {
        let Some(width) = least_width_mm(of, mass, contact, supports, &c, wanted) else { continue };
        let footing = of(width);
        let with = margin(footing);
        let mut reason = format!("{word} {width} mm: margin {} (bare {})", margin_words(with), margin_words(bare));
        if word == "raft" {
            reason += "; a brim lifts before it is enough";
        }
        return Suggestion { footing, margin: with, is_enough: true, reason };
    }
    // Nothing is enough: what helps most, a brim where a raft is no better.
    let widest = kinds.map(|(word, of)| {
        let footing = of(useful_mm(of(WIDEST_MM), &c));
        (word, footing, margin(footing))
    });
    let (word, footing, with) = if widest[1].2 > widest[0].2 { widest[1] } else { widest[0] };
    let width = footing.width_mm();
    if with <= bare {
        let reason = format!("no footing helps: margin {}; turn the part or support it", margin_words(bare));
        return Suggestion { footing: Footing::Bare, margin: bare, is_enough: false, reason };
    }
    let reason = format!(
        "{word} {width} mm: margin {} (bare {}); not enough, turn the part or support it",
        margin_words(with),
        margin_words(bare)
    );
    Suggestion { footing, margin: with, is_enough: false, reason }
}

fn judged(
    footing: Footing,
    mass: &MassProfile,
    contact: &Region,
    supports: Option<&Region>,
    c: &Conditions,
) -> Judgement {
    judge(mass, &Stance::new(contact, supports, footing, c), c)
}

/// The widest footing of this kind that still helps, in whole steps, mm.
fn useful_mm(footing: Footing, c: &Conditions) -> f64 {
    let thickness = if matches!(footing, Footing::Raft { .. }) { c.raft_mm } else { c.first_layer_mm };
    let holds = effective_width_mm(thickness, c.flexural_mpa, c.adhesion_mpa);
    (holds / STEP_MM).ceil().min(WIDEST_MM / STEP_MM) * STEP_MM
}

/// The margin grows with the width as far as the footing holds: by bisection.
fn least_width_mm(
    of: &dyn Fn(f64) -> Footing,
    mass: &MassProfile,
    contact: &Region,
    supports: Option<&Region>,
    conditions: &Conditions,
    wanted: f64,
) -> Option<f64> {
    let c = conditions.sound();
    let is_enough = |steps: usize| {
        let footing = if steps == 0 { Footing::Bare } else { of(steps as f64 * STEP_MM) };
        judged(footing, mass, contact, supports, &c).margin() >= wanted
    };
    let mut most = (useful_mm(of(WIDEST_MM), &c) / STEP_MM).round() as usize;
    if is_enough(0) {
        return Some(0.0);
    }
    if most == 0 || !is_enough(most) {
        return None;
    }
    let mut least = 0;
    while most - least > 1 {
        let middle = usize::midpoint(least, most);
        if is_enough(middle) { most = middle } else { least = middle }
    }
    Some(most as f64 * STEP_MM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::Point,
        stability::{
            conditions::tests::worked,
            samples::{leaning, measured, prism, rectangle, square},
        },
    };

    fn of(sections: &[Region], c: &Conditions) -> Suggestion {
        suggest_footing(&measured(sections), &sections[0], None, c, 1.0)
    }

    #[test]
    fn a_block_stays_bare_a_column_gets_a_brim_and_a_peg_a_raft() {
        let block = of(&prism(square(30.0), 100), &worked());
        assert_eq!((block.footing, block.is_enough), (Footing::Bare, true));
        let column = of(&prism(square(16.0), 200), &worked());
        let Footing::Brim { width_mm } = column.footing else { panic!("{column:?}") };
        assert!((0.5..=3.5).contains(&width_mm) && column.is_enough && column.margin >= 1.0, "{column:?}");
        assert!(column.reason.starts_with(&format!("brim {width_mm} mm: margin 1.")), "{column:?}");
        let peg = of(&prism(square(8.0), 300), &worked());
        assert!(matches!(peg.footing, Footing::Raft { .. }) && peg.is_enough, "{peg:?}");
        assert!(peg.reason.ends_with("; a brim lifts before it is enough"));
    }

    /// The least: half a millimetre less is not enough.
    #[test]
    fn no_narrower_one_is_enough() {
        let (sections, c) = (prism(square(16.0), 200), worked());
        let mass = measured(&sections);
        let width = brim_reaching_mm(&mass, &sections[0], None, &c, 1.0).expect("a brim");
        let with = |width_mm| judged(Footing::Brim { width_mm }, &mass, &sections[0], None, &c).margin();
        assert!(with(width) >= 1.0 && with(width - STEP_MM) < 1.0);
        assert_eq!(brim_reaching_mm(&mass, &sections[0], None, &c, 0.01), Some(0.0));
        assert_eq!(brim_reaching_mm(&mass, &sections[0], None, &c, 50.0), None);
    }

    #[test]
    fn where_nothing_is_enough_it_says_so() {
        let tall = of(&prism(square(3.0), 1000), &worked());
        assert!(!tall.is_enough && tall.reason.ends_with("not enough, turn the part or support it"), "{tall:?}");
        let leaning = of(&leaning(5.0, 60.0, 400), &worked());
        assert!(!leaning.is_enough, "{leaning:?}");
        let loose = of(&prism(square(10.0), 50), &Conditions { adhesion_mpa: 0.0, ..worked() });
        assert_eq!((loose.footing, loose.is_enough), (Footing::Bare, false));
        assert!(loose.reason.starts_with("no footing helps: margin 0.0"));
    }

    /// Common practice: a brim above 5 to 1, and where corners may lift, though the margin is enough.
    #[test]
    fn slender_and_long_parts_get_the_usual_brim() {
        let gentle = Conditions { sideways_n: 0.01, ..worked() };
        let slender = of(&prism(square(10.0), 300), &gentle);
        assert_eq!(slender.footing, Footing::Brim { width_mm: USUAL_BRIM_MM });
        assert!(slender.reason.contains("6.0 to 1 is slender; common practice"), "{slender:?}");
        let bar = rectangle(150.0, 20.0);
        let abs = Conditions { expansion_um_m_k: 93.6, limit_c: 105.0, ..gentle };
        let long = of(&prism(bar, 50), &abs);
        assert!(long.reason.contains("151 mm long, corners may lift"), "{long:?}");
    }

    #[test]
    fn nothing_and_nonsense() {
        let nothing = suggest_footing(&measured(&[]), &Region::EMPTY, None, &worked(), f64::NAN);
        assert_eq!(nothing.footing, Footing::Bare);
        let bad = square(4.0).map(|p| Point::new(f64::NAN, p.y));
        let s = suggest_footing(&measured(&prism(square(4.0), 20)), &bad, None, &worked(), 1.0);
        assert!(!s.is_enough && s.margin == 0.0);
    }
}
