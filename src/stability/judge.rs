//! Tip-over: for every height of a growing part, what holds it against what tips it.

use super::{Conditions, MassProfile, Stance};

/// Margins are cut off here: beyond it nothing threatens, and a margin stays a number.
pub const MOST_MARGIN: f64 = 100.0;

/// What could tip a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// The centre of mass leaves the hull of the contact.
    Balance,
    /// The nozzle pushes against the topmost layer.
    Push,
}

/// Margins of a part grown up to one layer: allowed ÷ actual, 0 to [`MOST_MARGIN`]; under 1 it could tip over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Top of the layer above the bed, the raft's thickness included, mm.
    pub height_mm: f64,
    /// From the contact's centroid to the hull's border, over the distance that the centre of mass lies off.
    pub balance: f64,
    /// Allowed stress of the adhesion (its safety factor taken off) over F z / S − W / A.
    pub push: f64,
}

/// The least margin of a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// The margin.
    pub margin: f64,
    /// At which height, above the bed, mm.
    pub height_mm: f64,
    /// Of which criterion.
    pub cause: Cause,
}

/// How firmly a part stands, layer by layer. A ranking, never a promise: real parts peel, and forces are assumed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Judgement {
    /// A margin for each layer that holds anything, from the bottom.
    pub margins: Vec<Margin>,
    /// The least of all; `None` for a part of nothing.
    pub least: Option<Least>,
    /// The height above the bed from which some margin is under 1, mm; `None` where all are at least 1.
    pub tips_above_mm: Option<f64>,
}

impl Margin {
    /// The smaller one.
    pub fn least(&self) -> f64 {
        self.balance.min(self.push)
    }
    /// Which one is smaller.
    pub fn cause(&self) -> Cause {
        if self.balance < self.push { Cause::Balance } else { Cause::Push }
    }
}

impl Judgement {
    /// The least margin; [`MOST_MARGIN`] for a part of nothing.
    pub fn margin(&self) -> f64 {
        self.least.map_or(MOST_MARGIN, |l| l.margin)
    }
    /// The margin of the part grown to a height above the bed.
    pub fn at(&self, height_mm: f64) -> Option<&Margin> {
        self.margins.iter().find(|m| m.height_mm >= height_mm - 1e-9)
    }
}

/// Judges every height of a part. Cheap: from prefix sums, without a look at a section.
///
/// Source: stress of a bent section, σ = F z / S − W / A ≤ `σ_adh` / SF, with S in the worst direction; a body stands while its centre
/// of mass lies over the hull of its feet.
pub fn judge(mass: &MassProfile, stance: &Stance, conditions: &Conditions) -> Judgement {
    let c = conditions.sound();
    let mut found = Judgement::default();
    // Height and use of what is allowed one layer down.
    let (mut below_mm, mut below) = (stance.lift_mm, 0.0);
    for layer in mass.layers().iter().filter(|l| l.volume_mm3 > 0.0 && l.area_mm2 > 0.0) {
        let height_mm = layer.top_mm + stance.lift_mm;
        let (balance, push) = (leaning(layer.centre, stance), pushed(height_mm, layer.volume_mm3, stance, &c));
        let used = balance.max(push);
        if found.tips_above_mm.is_none() && used > 1.0 {
            // Between two layers the use grows evenly; where it has no end, not even the layer's foot stands.
            let share = if used.is_finite() { ((1.0 - below) / (used - below)).clamp(0.0, 1.0) } else { 0.0 };
            found.tips_above_mm = Some(below_mm + share * (height_mm - below_mm));
        }
        let margin = Margin { height_mm, balance: inverse(balance), push: inverse(push) };
        if found.least.is_none_or(|l| margin.least() < l.margin) {
            found.least = Some(Least { margin: margin.least(), height_mm, cause: margin.cause() });
        }
        found.margins.push(margin);
        (below_mm, below) = (height_mm, used.min(1.0));
    }
    found
}

/// Margins of balance and of push of a whole part of this height and volume, its centre of mass in plan given.
pub(super) fn at_top(
    centre: crate::geom::Point,
    height_mm: f64,
    volume_mm3: f64,
    stance: &Stance,
    c: &Conditions,
) -> (f64, f64) {
    (inverse(leaning(centre, stance)), inverse(pushed(height_mm + stance.lift_mm, volume_mm3, stance, c)))
}

/// Share of the way to the hull's border that the centre of mass has gone.
fn leaning(centre: crate::geom::Point, stance: &Stance) -> f64 {
    let off = centre.distance(stance.centre);
    let reach = stance.reach_mm(centre);
    if stance.hull.len() < 3 {
        f64::INFINITY
    } else if off <= 1e-12 {
        0.0
    } else {
        off / reach
    }
}

/// Share of the allowed stress that a push at this height takes.
fn pushed(height_mm: f64, volume_mm3: f64, stance: &Stance, c: &Conditions) -> f64 {
    if stance.area_mm2 <= 0.0 {
        return f64::INFINITY;
    }
    let moment = c.sideways_n * height_mm;
    if moment <= 0.0 {
        return 0.0;
    }
    let stress = moment / stance.modulus_mm3 - c.weight_n(volume_mm3) / stance.area_mm2;
    if stress <= 0.0 { 0.0 } else { stress / c.allowed_mpa() }
}

/// Margin of a share, which may be infinite.
fn inverse(used: f64) -> f64 {
    if used * MOST_MARGIN <= 1.0 { MOST_MARGIN } else { 1.0 / used }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{
        document::Footing,
        geom::{Placement, Point, Region, disc},
        stability::{
            conditions::tests::worked,
            samples::{at, leaning, measured, prism, rectangle, square, tops},
        },
        watch::Quiet,
    };

    fn bare(sections: &[Region], c: &Conditions) -> Judgement {
        judge(&measured(sections), &Stance::new(&sections[0], None, Footing::Bare, c), c)
    }

    fn near(value: f64, asked: f64, tolerance: f64) {
        assert!((value - asked).abs() <= tolerance, "{value} is not {asked}");
    }

    /// 20 × 20 mm, 0.1 MPa, safety factor 2, 1 N: 47.1 mm along the diagonal without the weight (by hand). The weight, 0.0486 N at
    /// 1.24 g/cm³ and 100 mm, adds next to nothing.
    #[test]
    fn a_square_column_tips_at_the_published_height() {
        let weightless = Conditions { density_g_cm3: 0.0, ..worked() };
        let j = bare(&prism(square(20.0), 500), &weightless);
        let s = 20.0_f64.powi(3) / (6.0 * 2.0_f64.sqrt());
        near(j.tips_above_mm.unwrap_or_default(), 0.05 * s, 1e-6);
        near(j.tips_above_mm.unwrap_or_default(), 47.1, 0.05);
        let least = j.least.expect("a part");
        near(least.margin, 0.471_405, 1e-6);
        assert_eq!((least.height_mm, least.cause), (j.margins[499].height_mm, Cause::Push));
        near(j.at(47.0).map_or(0.0, Margin::least), 47.14 / 47.0, 1e-3);
        // With the weight at 47 mm: 0.05 MPa and W/A = 47 mm · 1.24e-6 · 9.81 MPa = 0.00057 more.
        let heavy = bare(&prism(square(20.0), 500), &worked());
        near(heavy.tips_above_mm.unwrap_or_default(), 47.14 / (1.0 - 1.24e-6 * 9.806_65 * s), 1e-3);
        assert!(heavy.tips_above_mm > j.tips_above_mm);
    }

    /// 10 × 10 mm, 1 N at 100 mm: 0.8485 MPa along the diagonal, so the margin of 0.05 MPa is 0.0589 (by hand).
    #[test]
    fn a_slim_column() {
        let weightless = Conditions { density_g_cm3: 0.0, ..worked() };
        near(bare(&prism(square(10.0), 500), &weightless).margin(), 0.05 / 0.848_528, 1e-6);
    }

    /// Solid PLA 20 × 20 × 100 mm weighs 0.4864 N: without adhesion a push of W S / (A z) = 0.01147 N opens the joint's edge (by hand;
    /// the whole column tips about its edge at W b / (2 z) = 0.0486 N).
    #[test]
    fn weight_alone_resists_next_to_nothing() {
        let c = Conditions { adhesion_mpa: 0.0, ..worked() };
        let sections = prism(square(20.0), 500);
        assert_eq!(bare(&sections, &Conditions { sideways_n: 0.011_46, ..c }).margin(), MOST_MARGIN);
        assert_eq!(bare(&sections, &Conditions { sideways_n: 0.011_48, ..c }).margin(), 0.0);
    }

    /// A column of 10 mm that leans by 45° leaves its base at 10.0 mm, by 30° at 17.32 mm: b / tan φ.
    #[test]
    fn leaning_columns_leave_their_base() {
        let calm = Conditions { sideways_n: 0.0, ..worked() };
        for (deg, asked) in [(45.0, 10.0), (30.0, 17.32)] {
            let sections = leaning(10.0, deg, 150);
            let mass = measured(&sections);
            // The base is where the column begins: the contact is half a layer further along.
            let stance = Stance::new(&square(10.0), None, Footing::Bare, &calm);
            let j = judge(&mass, &stance, &calm);
            near(j.tips_above_mm.unwrap_or_default(), asked, 0.005);
            assert_eq!(j.least.map(|l| l.cause), Some(Cause::Balance));
        }
        assert_eq!(bare(&leaning(10.0, 0.0, 150), &calm).tips_above_mm, None);
    }

    #[test]
    fn a_patch_of_support_keeps_a_leaning_column_up() {
        let calm = Conditions { sideways_n: 0.0, ..worked() };
        let sections = leaning(10.0, 45.0, 100);
        let foot = at(square(4.0), 18.0, 0.0);
        let stance = Stance::new(&sections[0], Some(&foot), Footing::Bare, &calm);
        assert_eq!(judge(&measured(&sections), &stance, &calm).tips_above_mm, None);
    }

    #[test]
    fn a_brim_and_a_raft_raise_the_margin() {
        let (c, sections) = (worked(), prism(square(10.0), 300));
        let mass = measured(&sections);
        let with = |footing| judge(&mass, &Stance::new(&sections[0], None, footing, &c), &c).margin();
        let (bare, brim) = (with(Footing::Bare), with(Footing::Brim { width_mm: 5.0 }));
        let raft = with(Footing::Raft { width_mm: 5.0 });
        assert!(bare < brim && brim < raft, "{bare} {brim} {raft}");
        // Beyond what holds, a wider brim adds nothing.
        near(with(Footing::Brim { width_mm: 50.0 }), brim, 1e-9);
    }

    #[test]
    fn no_push_no_adhesion_no_contact() {
        let sections = prism(square(10.0), 10);
        let no_push = bare(&sections, &Conditions { sideways_n: 0.0, ..worked() });
        assert_eq!((no_push.margin(), no_push.tips_above_mm), (MOST_MARGIN, None));
        let slippery = bare(&sections, &Conditions { adhesion_mpa: 0.0, ..worked() });
        assert_eq!((slippery.margin(), slippery.tips_above_mm), (0.0, Some(0.0)));
        let c = worked();
        let nowhere = judge(&measured(&sections), &Stance::new(&Region::EMPTY, None, Footing::Bare, &c), &c);
        assert_eq!(nowhere.margin(), 0.0);
        let nothing = judge(&measured(&[]), &Stance::new(&Region::EMPTY, None, Footing::Bare, &c), &c);
        assert_eq!((nothing.least, nothing.margin()), (None, MOST_MARGIN));
        let negative = Conditions { sideways_n: -4.0, safety_factor: f64::NAN, density_g_cm3: -1.0, ..c };
        assert_eq!(bare(&sections, &negative).margin(), MOST_MARGIN);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        /// A turn about Z, a move and a mirror image change nothing.
        #[test]
        fn turns_about_z_change_nothing(turn in 0.0..6.3_f64, x in -80.0..80.0_f64, lean in 0.0..40.0_f64, w in 3.0..30.0_f64) {
            let c = worked();
            let upright: Vec<Region> = leaning(10.0, lean, 60).into_iter().map(|s| s.map(|p| Point::new(p.x, p.y * w / 10.0))).collect();
            let one = bare(&upright, &c);
            let place = Placement::new(x, 7.0, turn);
            let moved: Vec<Region> = upright.iter().map(|s| s.placed(place)).collect();
            let mirrored: Vec<Region> = upright.iter().map(Region::mirrored).collect();
            for other in [bare(&moved, &c), bare(&mirrored, &c)] {
                prop_assert!((other.margin() / one.margin() - 1.0).abs() < 1e-6);
                let (a, b) = (one.tips_above_mm.unwrap_or(-1.0), other.tips_above_mm.unwrap_or(-1.0));
                prop_assert!((a - b).abs() < 1e-5, "{} {}", a, b);
            }
        }
        /// All of k times the size: weightless, the height at which it tips is k³ times as high (S grows by k³, the force stays).
        #[test]
        fn sizes(k in 0.6..1.6_f64, sides in 3_usize..9) {
            let c = Conditions { density_g_cm3: 0.0, ..worked() };
            let tips = |k: f64| {
                let section: Region = disc::regular(Point::default(), 8.0 * k, sides).into();
                let heights: Vec<f64> = tops(800).iter().map(|t| t * 4.0).collect();
                let mass = MassProfile::new(&prism(section.clone(), 800), &heights, 0.45, &Quiet).unwrap_or_default();
                judge(&mass, &Stance::new(&section, None, Footing::Bare, &c), &c).tips_above_mm.unwrap_or_default()
            };
            prop_assert!((tips(k) / tips(1.0) / k.powi(3) - 1.0).abs() < 1e-6);
        }
        /// Whatever comes in, margins are numbers from 0 to the most.
        #[test]
        fn margins_are_numbers(n in -1.0e3..1.0e3_f64, a in -1.0..1.0_f64, w in 1e-9..40.0_f64, f in proptest::num::f64::ANY) {
            let c = Conditions { sideways_n: n, adhesion_mpa: a, flexural_mpa: f, density_g_cm3: f, raft_mm: f, ..worked() };
            let sections = prism(rectangle(w, 3.0), 20);
            for footing in [Footing::Bare, Footing::Brim { width_mm: w }, Footing::Raft { width_mm: f }] {
                let j = judge(&measured(&sections), &Stance::new(&sections[0], None, footing, &c), &c);
                for m in &j.margins {
                    prop_assert!((0.0..=MOST_MARGIN).contains(&m.balance) && (0.0..=MOST_MARGIN).contains(&m.push), "{:?}", m);
                }
                prop_assert!(j.tips_above_mm.is_none_or(f64::is_finite));
            }
        }
    }
}
