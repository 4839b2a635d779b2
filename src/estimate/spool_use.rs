//! What plates take from a spool, one after another.

use crate::document::{Machine, Material};

use super::{Interval, PlateEstimate, RunsOut, mass_interval_g, runs_out};

/// What is on a spool, g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpoolLevel {
    /// With filament of the diameter that the machine counts with.
    pub nominal_g: f64,
    /// With filament as thick and as thin as its tolerance allows.
    pub range_g: Interval,
}

impl SpoolLevel {
    /// As it was weighed.
    pub fn weighed(grams: f64) -> Self {
        Self { nominal_g: grams, range_g: Interval { least: grams, most: grams } }
    }
    /// None of it below nothing: where a spool has run out, the next plate finds it empty.
    #[must_use]
    pub fn at_least_empty(self) -> Self {
        let range_g = Interval { least: self.range_g.least.max(0.0), most: self.range_g.most.max(0.0) };
        Self { nominal_g: self.nominal_g.max(0.0), range_g }
    }
}

/// What one plate takes from its spool.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpoolUse {
    /// On the spool before the plate.
    pub before: SpoolLevel,
    /// What the plate takes, purge and skirt included, g.
    pub needed_g: Interval,
    /// On the spool after the plate; below nothing by what is missing.
    pub after: SpoolLevel,
    /// Where it ends with filament of the nominal diameter; `None` where it lasts.
    pub runs_out: Option<RunsOut>,
    /// Where it ends at the earliest, with filament as thick as its tolerance allows.
    pub runs_out_earliest: Option<RunsOut>,
}

/// What a plate (one of its heads, where several print at once) takes from a spool whose filament may be off by `tolerance_mm` in diameter either way.
pub fn draw(
    before: SpoolLevel,
    tolerance_mm: f64,
    estimate: &PlateEstimate,
    machine: &Machine,
    material: &Material,
) -> SpoolUse {
    let mass_g = estimate.of_one_head().mass_g;
    let needed_g = mass_interval_g(mass_g, machine.filament_mm, tolerance_mm);
    let after = SpoolLevel {
        nominal_g: before.nominal_g - mass_g,
        range_g: Interval { least: before.range_g.least - needed_g.most, most: before.range_g.most - needed_g.least },
    };
    // Thick filament is used up as if the spool had held less of the nominal one.
    let thickest = mass_interval_g(1.0, machine.filament_mm, tolerance_mm).most;
    SpoolUse {
        before,
        needed_g,
        after,
        runs_out: runs_out(estimate, material, before.nominal_g),
        runs_out_earliest: runs_out(estimate, material, before.range_g.least / thickest),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::{MachineId, Shop},
        estimate::{Items, LayerEstimate, PathLength, TourPlan, filament},
    };

    /// PLA, 1.24 g/cm³: ten layers of 10 g, a minute each, and nothing else.
    fn plate() -> (PlateEstimate, Machine, Material) {
        let machine = Machine::rectangular(MachineId(1), "Bench 1", 200.0, 200.0, 200.0);
        let material = Shop::starter().materials[0].clone();
        assert_eq!((machine.filament_mm, material.density_g_cm3), (1.75, 1.24));
        let layer = |i: u32| LayerEstimate {
            top_mm: 0.2 * f64::from(i + 1),
            natural_s: 60.0,
            minimum_s: None,
            time_s: 60.0,
            slowing_s: 0.0,
            waiting_s: 0.0,
            unserved_s: 0.0,
            headroom: None,
            volume_mm3: 10_000.0 / 1.24,
            copies: [0].into(),
        };
        let estimate = PlateEstimate {
            time_s: 600.0,
            filament: filament(100_000.0 / 1.24, &machine, &material),
            heads: 1,
            path: PathLength::default(),
            items: Items::default(),
            layers: (0..10).map(layer).collect(),
            arrivals_s: Vec::new(),
            slack_s: Vec::new(),
            tours: TourPlan::default(),
        };
        (estimate, machine, material)
    }

    /// Mass against diameter, ±0.05 mm on 1.75: +5.796 % and −5.633 % (computed by script, as in `filament`).
    #[test]
    fn two_plates_of_one_spool() {
        let (estimate, machine, material) = plate();
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1.5e-3, "{a} {b}");
        let first = draw(SpoolLevel::weighed(250.0), 0.05, &estimate, &machine, &material);
        near(first.needed_g.most, 105.796);
        near(first.needed_g.least, 94.367);
        near(first.after.nominal_g, 150.0);
        near(first.after.range_g.least, 144.204);
        near(first.after.range_g.most, 155.633);
        assert_eq!((first.runs_out, first.runs_out_earliest), (None, None));
        let second = draw(first.after.at_least_empty(), 0.05, &estimate, &machine, &material);
        near(second.after.range_g.least, 38.408);
        let third = draw(second.after.at_least_empty(), 0.05, &estimate, &machine, &material);
        // 50 g are left: they last for five layers of ten, and 38.408 g of the thickest, 10.58 g a layer, for three.
        assert_eq!(third.runs_out.map(|r| (r.layer, r.after_s)), Some((5, 300.0)));
        assert_eq!(third.runs_out_earliest.map(|r| (r.layer, r.after_s)), Some((3, 180.0)));
        near(third.after.nominal_g, -50.0);
        assert_eq!(third.after.at_least_empty().nominal_g, 0.0);
    }

    /// Two heads print one plate twice in the time of one (common practice, no source): the time is the single plate's, the
    /// filament double, and each spool gives what the single plate takes.
    #[test]
    fn two_heads_take_from_a_spool_each() {
        let (once, machine, material) = plate();
        let twice = once.clone().twice();
        assert_eq!((twice.time_s, twice.heads), (once.time_s, 2));
        assert!((twice.filament.mass_g - 2.0 * once.filament.mass_g).abs() < 1e-12);
        assert!((twice.filament.cost - 2.0 * once.filament.cost).abs() < 1e-12);
        for grams in [250.0, 101.0, 50.0] {
            let of = |e| draw(SpoolLevel::weighed(grams), 0.02, e, &machine, &material);
            assert_eq!(of(&twice), of(&once));
        }
    }

    /// 101 g for 100 g: enough of 1.75 mm, and not of 1.77 mm (+2.299 %), which ends in the last layer.
    #[test]
    fn a_spool_that_lasts_unless_its_filament_is_thick() {
        let (estimate, machine, material) = plate();
        let u = draw(SpoolLevel::weighed(101.0), 0.02, &estimate, &machine, &material);
        assert_eq!(u.runs_out, None);
        assert_eq!(u.runs_out_earliest.map(|r| r.layer), Some(9));
        let exact = draw(SpoolLevel::weighed(100.0), 0.0, &estimate, &machine, &material);
        assert_eq!((exact.runs_out, exact.runs_out_earliest), (None, None));
        let empty = draw(SpoolLevel::weighed(0.0), 0.0, &estimate, &machine, &material);
        assert_eq!(empty.runs_out.map(|r| r.layer), Some(0));
    }
}
