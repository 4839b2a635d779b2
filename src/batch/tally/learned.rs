//! Everything that a tally teaches.

use std::collections::BTreeMap;

use super::{
    failures::{Failures, by_group},
    next_plate::NextPlate,
    places::{Places, places},
    rate::{Rate, jeffreys},
    spread::Spread,
    surface::{SurfaceTrend, trend},
    times::{TimeRow, by_recipe_and_machine, rows},
};
use crate::document::{Cause, Tally};

/// Everything that a tally teaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Plates tallied; each run counts.
    pub plates: usize,
    /// Copies on them.
    pub copies: usize,
    /// Good ones among them.
    pub good: usize,
    /// Bad ones by cause, the most frequent first.
    pub causes: Vec<(Cause, usize)>,
    /// How often a copy fails, plates lost at once left out.
    pub failing: Rate,
    /// What another plate like the one tallied last may bring.
    pub next: Option<NextPlate>,
    /// How often a whole plate is lost at once.
    pub lost_plates: Rate,
    /// By part, machine, material, footing.
    pub failures: Vec<Failures>,
    /// Time factors.
    pub times: Vec<TimeRow>,
    /// Spread of times; else why it is not known yet.
    pub spread: Result<Spread, String>,
    /// Where on the bed copies fail, of all machines.
    pub places: Places,
    /// Whether they do more often on an old surface.
    pub surface: Option<SurfaceTrend>,
}

/// Everything that a tally teaches.
pub fn learned(tally: &Tally) -> Learned {
    let all = tally.outcomes();
    let mut causes: BTreeMap<Cause, usize> = BTreeMap::new();
    for (cause, n) in all.iter().flat_map(crate::document::PlateOutcome::causes) {
        *causes.entry(cause).or_default() += n;
    }
    let mut causes: Vec<(Cause, usize)> = causes.into_iter().collect();
    causes.sort_by_key(|(cause, n)| (std::cmp::Reverse(*n), *cause));
    let lost = all.iter().filter(|o| o.is_spoilt()).count();
    let sound = || all.iter().filter(|o| !o.is_spoilt());
    let ratios = by_recipe_and_machine(all);
    let bad = sound().map(crate::document::PlateOutcome::bad).sum();
    let failing = jeffreys(bad, sound().map(|o| o.copies.len()).sum());
    Learned {
        next: all.last().map(|o| NextPlate::after(&failing, o.copies.len())),
        plates: all.len(),
        copies: all.iter().map(|o| o.copies.len()).sum(),
        good: all.iter().map(crate::document::PlateOutcome::good).sum(),
        causes,
        failing,
        lost_plates: jeffreys(lost, all.len()),
        failures: by_group(all),
        times: rows(all),
        spread: Spread::of(ratios.values().map(Vec::as_slice)),
        places: places(all.iter()),
        surface: trend(all),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        batch::tally::GroupOf,
        document::{Footing, PlateOutcome, sample_outcome},
    };

    fn outcome(plate: u32, parts: &[u32], bad: &[usize]) -> PlateOutcome {
        let mut o = sample_outcome(plate, parts);
        for &i in bad {
            o.copies[i].bad = Some(Cause::Warped);
        }
        o
    }

    /// Twenty copies of one part, one of them bad: 0.0714286, 0.005449 to 0.210819 (scipy.stats.beta 1.17.1).
    #[test]
    fn rates_by_group() {
        let l = learned(&Tally::new(vec![outcome(1, &[7; 12], &[3]), outcome(2, &[7; 8], &[])]));
        assert_eq!((l.plates, l.copies, l.good, l.causes), (2, 20, 19, vec![(Cause::Warped, 1)]));
        let part = l.failures.iter().find(|f| f.of == GroupOf::Part).expect("there is one");
        let own = part.groups[0].own;
        assert!((own.low - 0.005_449).abs() < 1e-6 && (own.high - 0.210_819).abs() < 1e-6);
        assert_eq!((own.failed, own.of, l.failing.failed, l.failing.of), (1, 20, 1, 20));
        assert!((l.times[0].factor.measured - 1.5).abs() < 1e-12);
        assert!(l.spread.is_err());
    }

    /// A plate without a good copy and without a cause is one event, not twelve.
    #[test]
    fn a_plate_lost_at_once_is_counted_by_itself() {
        let mut lost = outcome(1, &[7; 12], &[]);
        lost.unnamed_bad = 12;
        let l = learned(&Tally::new(vec![lost, outcome(2, &[7; 12], &[])]));
        assert_eq!((l.failing.failed, l.failing.of), (0, 12));
        assert_eq!((l.lost_plates.failed, l.lost_plates.of), (1, 2));
        // Where all of them warped, each is counted.
        let all: Vec<usize> = (0..12).collect();
        let l = learned(&Tally::new(vec![outcome(1, &[7; 12], &all)]));
        assert_eq!((l.failing.failed, l.failing.high, l.lost_plates.failed), (12, 1.0, 0));
    }

    #[test]
    fn bad_copies_that_nobody_named_count_where_it_is_clear_whose_they_are() {
        let mut mixed = outcome(1, &[7, 8], &[]);
        mixed.unnamed_bad = 1;
        let l = learned(&Tally::new(vec![mixed]));
        assert!(l.failures.iter().all(|f| f.of != GroupOf::Part));
        let machine = l.failures.iter().find(|f| f.of == GroupOf::Machine).expect("it is known");
        assert_eq!((machine.groups[0].own.failed, machine.groups[0].own.of), (1, 2));
        let footing = l.failures.iter().find(|f| f.of == GroupOf::Footing).expect("all are bare");
        assert_eq!(footing.groups[0].own.failed, 1);
    }

    #[test]
    fn places_and_surface() {
        let mut all = Vec::new();
        for k in 0..10_u32 {
            // Copies at x 0, 20 … 220: those at 0 to 100 lie on the left half of 240 mm.
            let mut o = outcome(k, &[7; 12], if k >= 5 { &[0, 1] } else { &[] });
            o.since_surface = Some(3 * k);
            o.copies[0].footing = Footing::Brim { width_mm: 3.0 };
            all.push(o);
        }
        let l = learned(&Tally::new(all));
        let left = l.places.tests[0];
        assert_eq!((left.one, left.on_one, left.on_other), ("left", (10, 60), (0, 60)));
        assert!(left.p < 0.01);
        assert_eq!(l.places.spots.iter().map(|s| s.of).sum::<usize>(), 120);
        let surface = l.surface.expect("known");
        assert!(surface.z > 2.0 && surface.p < 0.05, "{surface:?}");
        assert_eq!(surface.bins.iter().map(|b| b.failed).sum::<usize>(), 10);
    }

    #[test]
    fn an_empty_tally_teaches_nothing() {
        let l = learned(&Tally::default());
        assert_eq!((l.plates, l.failures.len(), l.times.len(), l.surface), (0, 0, 0, None));
        assert_eq!((l.failing.low, l.failing.high), (0.0, 1.0));
    }
}
