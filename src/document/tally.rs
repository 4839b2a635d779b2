//! The tally: what came out of each plate.

use std::{collections::BTreeMap, sync::Arc};

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{PartId, PlateId, PlateOutcome};

/// The log of what came out of each plate, in the order in which it was written. Copying it is cheap, and so are its counts: it may hold ten
/// thousand plates.
#[derive(Clone, Default)]
pub struct Tally(Arc<Inner>);

#[derive(Default)]
struct Inner {
    outcomes: Vec<PlateOutcome>,
    good: BTreeMap<PartId, usize>,
    by_plate: BTreeMap<PlateId, BTreeMap<PartId, usize>>,
}

impl Tally {
    /// A tally of these.
    pub fn new(outcomes: Vec<PlateOutcome>) -> Self {
        let mut good: BTreeMap<PartId, usize> = BTreeMap::new();
        let mut by_plate: BTreeMap<PlateId, BTreeMap<PartId, usize>> = BTreeMap::new();
        for outcome in &outcomes {
            let on_plate = by_plate.entry(outcome.plate).or_default();
            for (part, n) in outcome.good_by_part() {
                *good.entry(part).or_default() += n;
                *on_plate.entry(part).or_default() += n;
            }
        }
        Self(Arc::new(Inner { outcomes, good, by_plate }))
    }
    /// All outcomes, in the order written.
    pub fn outcomes(&self) -> &[PlateOutcome] {
        &self.0.outcomes
    }
    /// Outcomes of one plate: one for each run.
    pub fn of_plate(&self, plate: PlateId) -> impl Iterator<Item = &PlateOutcome> {
        self.0.outcomes.iter().filter(move |o| o.plate == plate)
    }
    /// Nothing was tallied.
    pub fn is_empty(&self) -> bool {
        self.0.outcomes.is_empty()
    }
    /// Was this plate tallied?
    pub fn has(&self, plate: PlateId) -> bool {
        self.0.by_plate.contains_key(&plate)
    }
    /// Good copies of a part, of all plates and runs.
    pub fn good(&self, part: PartId) -> usize {
        self.0.good.get(&part).copied().unwrap_or(0)
    }
    /// Good copies of a plate by part, of all its runs; `None` where it was not tallied.
    pub fn good_of(&self, plate: PlateId) -> Option<&BTreeMap<PartId, usize>> {
        self.0.by_plate.get(&plate)
    }
}

impl PartialEq for Tally {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.outcomes == other.0.outcomes
    }
}

impl std::fmt::Debug for Tally {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(&self.0.outcomes).finish()
    }
}

impl Serialize for Tally {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.outcomes.serialize(to)
    }
}

impl<'de> Deserialize<'de> for Tally {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Vec::deserialize(from).map(Self::new)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Cause, plate_outcome::sample::outcome};

    #[test]
    fn runs_of_a_plate_add_up() {
        let mut bad = outcome(5, &[7, 7, 8]);
        bad.copies[0].bad = Some(Cause::Warped);
        let tally = Tally::new(vec![outcome(5, &[7, 7, 8]), bad, outcome(6, &[8])]);
        assert_eq!((tally.good(PartId(7)), tally.good(PartId(8)), tally.good(PartId(9))), (3, 3, 0));
        assert_eq!(tally.good_of(PlateId(5)).map(|g| g[&PartId(7)]), Some(3));
        assert!(tally.has(PlateId(6)) && !tally.has(PlateId(7)));
        assert_eq!(tally.of_plate(PlateId(5)).count(), 2);
        let text = serde_json::to_string(&tally).expect("it is written");
        assert_eq!(serde_json::from_str::<Tally>(&text).expect("it is read"), tally);
    }
}
