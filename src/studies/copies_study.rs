//! How many copies at once: every number of copies, laid out and timed.

use std::{
    sync::Arc,
    time::{Duration, Instant},
};

use jiff::Timestamp;

use super::{
    CopiesRow, CopiesWay, ExpectedGood, LaidCopy, StudiedPart, StudyError, UnderHours, check_fit,
    copies_found::Found,
    copies_layout::Fill,
    filling::Filling,
    laid_plate::{Kind, Setting, kind, spoils},
    shop_weeks::ShopWeeks,
};
use crate::{
    batch::{
        Spoils, all_good, binomial_shares, expected_good, good_all_or_none, good_each_alone, good_in_turn,
        plates_needed, shares_all_or_none, shares_in_turn, shares_within_reach, with_common_cause,
    },
    document::{Job, Machine, MachineId, PartId, Recipe},
    estimate::{PlateCopy, PlateEstimate, motion::rest_to_rest_s},
    stability::Conditions,
    watch::Watch,
};

/// Every number of copies up to here has a row; above it so many numbers, evenly spread, the greatest among them.
const EVERY_UP_TO: usize = 100;
const ABOVE: usize = 40;
/// Share of the time and of the progress bar for copies together, where they are also studied one after another.
const TOGETHER: f64 = 0.8;

/// What a copies study starts from.
#[derive(Debug, Clone)]
pub struct CopiesStudy {
    /// The job: clearances, assumptions, hours, machines, materials, recipes. Its plates are not looked at.
    pub job: Arc<Job>,
    /// The part. Its plate has its material, colour and recipe, its copies its footing.
    pub part: PartId,
    /// The machine whose bed is filled.
    pub machine: MachineId,
    /// What is known of the part.
    pub studied: StudiedPart,
    /// Seed of every search.
    pub seed: u64,
    /// Rounds of each search; `None` for as long as the time allows.
    pub rounds: Option<u64>,
    /// Time for all searches together; `None`: no limit.
    pub time: Option<Duration>,
    /// What one copy that fails spoils: good parts a day and plates to start are counted so.
    pub spoils: Spoils,
    /// How sure the number wanted is to come out of the plates to start, 0 to 1.
    pub confidence: f64,
    /// The weeks after it are looked at.
    pub now: Timestamp,
}

impl CopiesStudy {
    /// What it names, whether the part fits or not.
    fn named(&self) -> Result<Found<'_>, StudyError> {
        let job = &*self.job;
        let part = job.part(self.part).ok_or(StudyError::NoPart)?;
        let machine = job.machine(self.machine).ok_or(StudyError::NoMachine)?;
        let (Some(material), Some(recipe)) = (job.material(part.material), job.recipe(part.recipe)) else {
            return Err(StudyError::NoRecipe(part.name.clone()));
        };
        Ok(Found { job, part, machine, material, recipe, studied: &self.studied })
    }

    fn found(&self) -> Result<Found<'_>, StudyError> {
        let found = self.named()?;
        if !self.studied.is_solid() {
            return Err(StudyError::NoBody(found.part.name.clone()));
        }
        check_fit(found.job, found.part, found.part.footing, found.machine, &self.studied.shape)?;
        Ok(found)
    }

    /// The weeks looked at.
    fn weeks(&self, machine: &Machine) -> ShopWeeks {
        ShopWeeks::after(&self.job.shifts, machine, self.now)
    }

    /// Why no good parts a day can be told, in one sentence that says what to do; `None` where they can.
    pub fn hours_fault(&self) -> Option<String> {
        let found = self.named().ok()?;
        let plate = found.repeated(3600.0);
        self.weeks(found.machine).fault(&plate)
    }

    /// Why copies are not studied one after another as well; `None` where they are, or where nothing is known of the machine's head.
    pub fn too_tall_in_turn(&self) -> Option<String> {
        let found = self.named().ok()?;
        let head = found.machine.head?;
        let height_mm = found.height_mm();
        (height_mm > head.under_gantry_mm + 1e-9).then(|| {
            format!(
                "{} is {height_mm:.1} mm tall, and only {:.1} mm pass under the gantry of {}: its copies cannot be printed one after another.",
                found.part.name, head.under_gantry_mm, found.machine.name
            )
        })
    }
}

/// Studies how many copies of a part to print at once: for n = 1, 2 … up to a full plate the plate is laid out and timed, and what comes of
/// it under people's hours is counted: the same plate again and again on one machine over the next four full weeks. A failure is taken
/// to be found at the plate's end. Where the machine's head is known and the part passes under the gantry, copies one after another are studied
/// too, and where it has two carriages plates of a shifted twin. Above 100 copies not every number has a row; above 300 none has.
///
/// The chances that a copy lets go and that a plate is spoilt are assumed ([`crate::document::Assumptions`]).
///
/// `watch` hears how far the study is; `finished` hears of each row in order. True where the study was not cancelled. The same seed and rounds
/// give the same rows unless `time` ends a search.
///
/// # Errors
/// [`StudyError`] where the part does not fit the machine, has no body, or numbers are out of range.
pub fn copies_study(
    study: &CopiesStudy,
    watch: &dyn Watch,
    finished: &mut dyn FnMut(&CopiesRow),
) -> Result<bool, StudyError> {
    let found = study.found()?;
    if !(study.confidence > 0.0 && study.confidence < 1.0) {
        return Err(StudyError::Confidence(study.confidence));
    }
    let Found { job, machine, material, recipe, .. } = found;
    let conditions = Conditions::of(job, material, recipe, machine);
    let setting = Setting { job, machine, material, recipe, conditions: &conditions };
    let kind = kind(&setting, study.part, &study.studied, found.part.footing)?;
    let weeks = study.weeks(machine);
    let in_turn = machine.head.is_some_and(|h| kind.height_mm <= h.under_gantry_mm + 1e-9);
    let others: Vec<CopiesWay> = [(CopiesWay::InTurn, in_turn), (CopiesWay::Twin, machine.carriages.is_some())]
        .into_iter()
        .filter_map(|(way, may)| may.then_some(way))
        .collect();
    let together = if others.is_empty() { 1.0 } else { TOGETHER };
    let mut ways = vec![(CopiesWay::Together, 0.0, together)];
    for (i, way) in others.iter().enumerate() {
        let at = |i: usize| together + (1.0 - together) * i as f64 / others.len() as f64;
        ways.push((*way, at(i), at(i + 1)));
    }
    for (way, from, to) in ways {
        let at = |share: f64| from + (to - from) * share;
        // Time is for searching: counting rows takes none of it.
        let until = || study.time.and_then(|t| Instant::now().checked_add(t.mul_f64(to - from)));
        let filling =
            |a: f64, b: f64| Filling { watch, until: until(), span: (at(a), at(b)), what: "laying copies out" };
        let fill = Fill::new(&found, way)?;
        let first = fill.first(study.seed, &filling(0.0, 0.02));
        if watch.cancelled() {
            return Ok(false);
        }
        let laid = fill.ordered(&found, &first);
        let plates = Plates::new(study, &found, &kind, &weeks, way, laid)?;
        let told = plates.laid.len();
        if !plates.rows(1, watch, (at(0.02), at(0.5)), finished)? {
            return Ok(false);
        }
        // What a search finds beyond the first layout is studied after it: rows are there at once.
        let full = fill.full(&first, study.seed, study.rounds, &filling(0.5, 0.7));
        if watch.cancelled() {
            return Ok(false);
        }
        if full.count() > told {
            let laid = fill.ordered(&found, &full);
            let plates = Plates::new(study, &found, &kind, &weeks, way, laid)?;
            if !plates.rows(told + 1, watch, (at(0.7), at(1.0)), finished)? {
                return Ok(false);
            }
        }
    }
    watch.progress(1.0, "copies");
    Ok(true)
}

/// The plates of the first copies of one layout.
struct Plates<'a> {
    study: &'a CopiesStudy,
    found: &'a Found<'a>,
    weeks: &'a ShopWeeks,
    way: CopiesWay,
    laid: Arc<[LaidCopy]>,
    planned: Vec<PlateCopy>,
    failing: f64,
    /// For each copy those that it would strike.
    spoils: Vec<Vec<usize>>,
    /// One copy with nothing round it: its plate, and what every further one adds, s and g.
    alone: Option<Alone>,
}

/// A plate of one copy, and what each further one adds where they are printed one after another.
struct Alone {
    first: PlateEstimate,
    further_s: f64,
    further_g: f64,
}

impl<'a> Plates<'a> {
    fn new(
        study: &'a CopiesStudy,
        found: &'a Found<'a>,
        kind: &Kind,
        weeks: &'a ShopWeeks,
        way: CopiesWay,
        laid: Arc<[LaidCopy]>,
    ) -> Result<Self, StudyError> {
        let planned: Vec<PlateCopy> = laid
            .iter()
            .zip(1..)
            .map(|(copy, id)| PlateCopy {
                copy: crate::document::CopyId(id),
                profile: study.studied.profile.clone(),
                footing: kind.footing.clone(),
                placement: copy.at,
            })
            .collect();
        let (mut struck, mut alone) = (Vec::new(), None);
        match way {
            CopiesWay::Together | CopiesWay::Twin => {
                let known: Vec<(&LaidCopy, &StudiedPart)> = laid.iter().map(|c| (c, &study.studied)).collect();
                struck = spoils(&known, |_| kind);
            }
            CopiesWay::InTurn => {
                if let Some(one) = planned.get(..1) {
                    alone = Some(Alone::new(found, one)?);
                }
            }
        }
        Ok(Self { study, found, weeks, way, laid, planned, failing: kind.failing, spoils: struck, alone })
    }

    /// The rows from so many copies on; false where cancelled.
    fn rows(
        &self,
        from: usize,
        watch: &dyn Watch,
        (begin, end): (f64, f64),
        finished: &mut dyn FnMut(&CopiesRow),
    ) -> Result<bool, StudyError> {
        let all = numbers(from, self.laid.len());
        for (i, &n) in all.iter().enumerate() {
            if watch.cancelled() {
                return Ok(false);
            }
            watch.progress(begin + (end - begin) * i as f64 / all.len() as f64, &crate::words::copies(n));
            finished(&self.row(n)?);
        }
        Ok(true)
    }

    /// The row of the first `laid` places; a twin has two copies for each.
    fn row(&self, laid: usize) -> Result<CopiesRow, StudyError> {
        let halves = if self.way == CopiesWay::Twin { 2 } else { 1 };
        let n = halves * laid;
        let assumed = &self.found.job.assumptions;
        let common = assumed.common_cause_percent / 100.0;
        let p = 1.0 - self.failing;
        let (time_s, mass_g, slowed_s) = self.costs(laid)?;
        let (expected, shares) = match self.way {
            CopiesWay::InTurn => {
                let good = good_in_turn(n, p);
                (ExpectedGood { copy: good, reach: good, plate: good }, shares_in_turn(n, p))
            }
            CopiesWay::Together | CopiesWay::Twin => {
                let failing = vec![self.failing; n];
                // Nothing falls across the strip between the halves.
                let half = |h: usize| {
                    let of = move |s: &Vec<usize>| s.iter().filter(|j| **j < laid).map(|j| j + h * laid).collect();
                    self.spoils[..laid].iter().map(of)
                };
                let spoils: Vec<Vec<usize>> = (0..halves).flat_map(half).collect();
                let expected = ExpectedGood {
                    copy: good_each_alone(n, p),
                    reach: expected_good(&failing, &spoils),
                    plate: good_all_or_none(n, p),
                };
                let shares = match self.study.spoils {
                    Spoils::Copy => binomial_shares(n, p),
                    Spoils::Reach => shares_within_reach(&failing, &spoils, self.study.seed),
                    Spoils::Plate => shares_all_or_none(n, p),
                };
                (expected, shares)
            }
        };
        let before = expected.under(self.study.spoils);
        let good = with_common_cause(before, common);
        let wanted = self.found.part.wanted as usize;
        let hours = self.weeks.under(&self.found.repeated(time_s)).map(|(changeovers_per_day, night)| UnderHours {
            changeovers_per_day,
            good_per_day: changeovers_per_day * good,
            night,
        });
        Ok(CopiesRow {
            copies: n,
            way: self.way,
            layout: self.laid[..laid].into(),
            time_s,
            mass_g,
            slowed: if time_s > 0.0 { slowed_s / time_s } else { 0.0 },
            expected,
            good,
            lost_to_common_causes: before - good,
            all_good: with_common_cause(all_good(n, p), common),
            plates_to_start: plates_needed(&shares, common, wanted, self.study.confidence),
            hours,
        })
    }

    /// Time of a plate of the first n places, its filament, and what slowing and waiting take, s, g and s.
    fn costs(&self, n: usize) -> Result<(f64, f64, f64), StudyError> {
        let slowed = |e: &PlateEstimate| e.items.slowing_s + e.items.waiting_s;
        let Some(alone) = &self.alone else {
            let e = self.found.estimated(self.found.recipe, &self.planned[..n])?;
            let e = if self.way == CopiesWay::Twin { e.twice() } else { e };
            return Ok((e.time_s, e.filament.mass_g, slowed(&e)));
        };
        let recipe = self.found.recipe;
        let place = |c: &LaidCopy| c.at.origin();
        let ways_mm = self.laid[..n].windows(2).map(|w| place(&w[0]).distance(place(&w[1])));
        let ways_s: f64 = ways_mm
            .map(|mm| recipe.time_factor * rest_to_rest_s(mm, recipe.travel_mm_s, recipe.travel_acceleration_mm_s2))
            .sum();
        let further = (n - 1) as f64;
        let time_s = alone.first.time_s + further * alone.further_s + ways_s;
        Ok((time_s, alone.first.filament.mass_g + further * alone.further_g, n as f64 * slowed(&alone.first)))
    }
}

impl Alone {
    fn new(found: &Found<'_>, one: &[PlateCopy]) -> Result<Self, StudyError> {
        let first = found.estimated(found.recipe, one)?;
        // Heating up, purging and the skirt come once.
        let bare = Recipe { skirt_loops: 0, purge_mm3: 0.0, ..found.recipe.clone() };
        let again = found.estimated(&bare, one)?;
        let further_s = again.time_s - again.items.heat_up_s - again.items.end_s;
        Ok(Self { further_s, further_g: again.filament.mass_g, first })
    }
}

/// The numbers of copies that have rows.
fn numbers(from: usize, most: usize) -> Vec<usize> {
    let mut all: Vec<usize> = (from..=most.min(EVERY_UP_TO)).collect();
    if most > EVERY_UP_TO {
        let above = most - EVERY_UP_TO;
        let steps = above.min(ABOVE);
        all.extend((1..=steps).map(|k| EVERY_UP_TO + above * k / steps).filter(|n| *n >= from));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::numbers;

    #[test]
    fn numbers_that_have_rows() {
        assert_eq!(numbers(1, 3), [1, 2, 3]);
        assert_eq!(numbers(4, 3), Vec::<usize>::new());
        let many = numbers(1, 300);
        assert_eq!((many.len(), many.last(), many[99]), (140, Some(&300), 100));
        assert!(many.windows(2).all(|w| w[0] < w[1]));
        assert_eq!(numbers(99, 102), [99, 100, 101, 102]);
        assert_eq!(numbers(1, 0), Vec::<usize>::new());
    }
}
