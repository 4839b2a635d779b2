//! What came out of one run of a plate.

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::{Cause, Footing, MachineId, MaterialId, OutcomeId, PartId, PlateId, RecipeId, SpoolId};

/// What came out of one run of a plate. It holds all that statistics need: the plate, its machine and its parts may be changed or removed later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlateOutcome {
    /// Its id in the job.
    pub id: OutcomeId,
    /// The plate.
    pub plate: PlateId,
    /// The plate's number as it was tallied.
    pub number: u32,
    /// Which run of the plate, from 1.
    pub run: u32,
    /// When it ended.
    pub ended: Timestamp,
    /// How long it really took, s.
    pub actual_s: f64,
    /// Filament really used, g; `None` where nobody weighed it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub actual_g: Option<f64>,
    /// Initials of who tallied it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Its machine.
    pub machine: MachineId,
    /// The machine's name then.
    pub machine_name: String,
    /// The bed's box then, mm: least x and y, greatest x and y.
    pub bed_mm: [f64; 4],
    /// Its material.
    pub material: MaterialId,
    /// The material's name then.
    pub material_name: String,
    /// Its recipe.
    pub recipe: RecipeId,
    /// The recipe's name then.
    pub recipe_name: String,
    /// The recipe's time factor then: it is in the estimate.
    pub time_factor: f64,
    /// The estimate then, s; `None` where there was none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub estimated_s: Option<f64>,
    /// The estimate then, g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub estimated_g: Option<f64>,
    /// Plates run on that machine since its surface was refreshed, this one not counted; `None` where that is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since_surface: Option<u32>,
    /// The spool that its filament was taken off, by grams or by weighing; `None` where no spool was counted down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub counted_spool: Option<SpoolId>,
    /// Names of the parts on it then.
    pub parts: Vec<OutcomePart>,
    /// What lay on it, twins included.
    pub copies: Vec<OutcomeCopy>,
    /// Bad copies of which nobody said which they are.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub unnamed_bad: u32,
    /// Why those are bad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unnamed_cause: Option<Cause>,
}

/// A part by its names at the time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OutcomePart {
    /// Its id.
    pub part: PartId,
    /// "E".
    pub letter: String,
    /// "frame spacer".
    pub name: String,
}

/// A copy that was printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OutcomeCopy {
    /// "E 14"; a twin has a prime: "E 14′".
    pub copy: String,
    /// Its part; `None` for a mirrored twin that nobody ordered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<PartId>,
    /// What it stood on.
    pub footing: Footing,
    /// The middle of its outline's box on the bed.
    pub x_mm: f64,
    /// The middle of its outline's box on the bed.
    pub y_mm: f64,
    /// Why it is bad; `None` where it is good, or nobody said that it is bad.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bad: Option<Cause>,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
fn is_zero(n: &u32) -> bool {
    *n == 0
}

impl PlateOutcome {
    /// Bad copies, named or not.
    pub fn bad(&self) -> usize {
        self.named_bad() + self.unnamed_bad as usize
    }
    /// Good copies.
    pub fn good(&self) -> usize {
        self.copies.len().saturating_sub(self.bad())
    }
    /// Bad copies that are named.
    pub fn named_bad(&self) -> usize {
        self.copies.iter().filter(|c| c.bad.is_some()).count()
    }
    /// Is each copy known to be good or bad? So it is where all bad ones are named, and where all are bad.
    pub fn knows_each(&self) -> bool {
        self.unnamed_bad == 0 || self.good() == 0
    }
    /// Was the whole plate lost at once: no copy is good, and the cause strikes whole plates, or nobody gave one for several copies?
    pub fn is_spoilt(&self) -> bool {
        let several = self.copies.len() > 1;
        let at_once = |c: &Cause| c.is_common() || several && *c == Cause::Other;
        !self.copies.is_empty() && self.good() == 0 && self.causes().keys().all(at_once)
    }
    /// Bad copies by cause.
    pub fn causes(&self) -> BTreeMap<Cause, usize> {
        let mut all = BTreeMap::new();
        for cause in self.copies.iter().filter_map(|c| c.bad) {
            *all.entry(cause).or_default() += 1;
        }
        if self.unnamed_bad > 0 {
            *all.entry(self.unnamed_cause.unwrap_or_default()).or_default() += self.unnamed_bad as usize;
        }
        all
    }
    /// The part of all its copies, where they are of one only.
    pub fn only_part(&self) -> Option<PartId> {
        let first = self.copies.first()?.part;
        first.filter(|_| self.copies.iter().all(|c| c.part == first))
    }
    /// Good copies by part. Where bad copies are not named and could be of several parts, every part is counted as if all of them were its own: only
    /// copies that are good for certain count as good.
    pub fn good_by_part(&self) -> BTreeMap<PartId, usize> {
        let mut all: BTreeMap<PartId, usize> = BTreeMap::new();
        for copy in &self.copies {
            let Some(part) = copy.part else { continue };
            *all.entry(part).or_default() += usize::from(copy.bad.is_none());
        }
        for n in all.values_mut() {
            *n = n.saturating_sub(self.unnamed_bad as usize);
        }
        all
    }
    /// Actual ÷ estimated time at a time factor of 1; `None` without an estimate.
    pub fn time_ratio(&self) -> Option<f64> {
        let ratio = self.time_factor * self.actual_s / self.estimated_s.filter(|s| *s > 0.0)?;
        Some(ratio).filter(|r| r.is_finite() && *r > 0.0)
    }
}

#[cfg(test)]
pub(super) mod sample {
    use super::*;

    /// A plate of copies of parts 7 and 8, named "A 1", "A 2" …; 3 h where 2 h were estimated.
    pub(crate) fn outcome(plate: u32, of: &[u32]) -> PlateOutcome {
        let copy = |(i, part): (usize, &u32)| OutcomeCopy {
            copy: format!("A {}", i + 1),
            part: Some(PartId(*part)),
            footing: Footing::Bare,
            x_mm: 20.0 * i as f64,
            y_mm: 30.0,
            bad: None,
        };
        PlateOutcome {
            id: OutcomeId(0),
            plate: PlateId(plate),
            number: 1,
            run: 1,
            ended: Timestamp::from_second(1_780_000_000).expect("a time"),
            actual_s: 10_800.0,
            actual_g: None,
            by: String::new(),
            note: String::new(),
            machine: MachineId(1),
            machine_name: "Bench 1".into(),
            bed_mm: [0.0, 0.0, 240.0, 200.0],
            material: MaterialId(2),
            material_name: "PLA".into(),
            recipe: RecipeId(3),
            recipe_name: "0.20 mm".into(),
            time_factor: 1.0,
            estimated_s: Some(7200.0),
            estimated_g: Some(50.0),
            since_surface: None,
            counted_spool: None,
            parts: Vec::new(),
            copies: of.iter().enumerate().map(copy).collect(),
            unnamed_bad: 0,
            unnamed_cause: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{sample::outcome, *};

    #[test]
    fn what_is_good_for_certain() {
        let mut o = outcome(5, &[7, 7, 7, 8, 8]);
        assert_eq!((o.good(), o.bad(), o.knows_each(), o.is_spoilt()), (5, 0, true, false));
        o.copies[0].bad = Some(Cause::Warped);
        assert_eq!(o.good_by_part(), BTreeMap::from([(PartId(7), 2), (PartId(8), 2)]));
        o.unnamed_bad = 2;
        assert_eq!((o.good(), o.knows_each()), (2, false));
        assert_eq!(o.good_by_part(), BTreeMap::from([(PartId(7), 0), (PartId(8), 0)]));
        assert_eq!(o.causes(), BTreeMap::from([(Cause::Warped, 1), (Cause::Other, 2)]));
        o.unnamed_bad = 4;
        assert!(!o.is_spoilt() && o.knows_each());
        o.copies[0].bad = None;
        o.unnamed_bad = 5;
        assert!(o.is_spoilt());
    }

    #[test]
    fn one_part_is_known_by_numbers_alone() {
        let mut o = outcome(5, &[7, 7, 7]);
        o.unnamed_bad = 1;
        assert_eq!((o.only_part(), o.good_by_part()[&PartId(7)]), (Some(PartId(7)), 2));
        assert_eq!(outcome(5, &[7, 8]).only_part(), None);
        assert_eq!(outcome(5, &[]).good(), 0);
    }

    #[test]
    fn one_copy_is_a_lost_plate_only_by_a_common_cause() {
        let mut o = outcome(5, &[7]);
        o.copies[0].bad = Some(Cause::Warped);
        assert!(!o.is_spoilt());
        o.copies[0].bad = Some(Cause::Power);
        assert!(o.is_spoilt());
    }

    #[test]
    fn the_time_factor_of_the_estimate_is_taken_out() {
        let o = PlateOutcome { time_factor: 1.2, ..outcome(5, &[7]) };
        assert!((o.time_ratio().expect("estimated") - 1.8).abs() < 1e-12);
        assert_eq!(PlateOutcome { estimated_s: None, ..o.clone() }.time_ratio(), None);
        assert_eq!(PlateOutcome { estimated_s: Some(0.0), ..o }.time_ratio(), None);
    }
}
