//! Outcomes written into the job.

use std::{collections::BTreeMap, sync::Arc};

use super::{SpoolCount, TallyEntry};
use crate::{
    batch::tally::{Learned, learned},
    document::{Job, MachineId, Plate, PlateId, PlateOutcome, ReadyItem, SpoolId, limits},
    edit::Command,
    session::{Session, SessionError},
};

impl Session {
    /// What the tally teaches.
    pub fn learned(&self) -> &Learned {
        &self.learned.1
    }

    /// Works out anew what the tally teaches, where it has changed.
    pub(in crate::session) fn refresh_learned(&mut self, job: &Job) {
        if self.learned.0 != job.tally {
            self.learned = (job.tally.clone(), Arc::new(learned(&job.tally)));
        }
    }

    /// Writes down what came out of plates: all of it in one step, or nothing.
    pub(in crate::session) fn tally(&mut self, label: &str, entries: &[TallyEntry]) -> Result<(), SessionError> {
        let command = self.tally_command(entries).map_err(|(_, why)| SessionError::Other(why))?;
        self.command(label, &command)
    }

    /// Why an entry would be refused; `None` where it would be written down.
    pub fn why_not_tally(&self, entry: &TallyEntry) -> Option<String> {
        self.tally_command(std::slice::from_ref(entry)).err().map(|(_, why)| why)
    }

    /// The command that does it; the error says which entry is wrong, counted from 0, and why.
    pub(super) fn tally_command(&self, entries: &[TallyEntry]) -> Result<Command, (usize, String)> {
        let job = self.job();
        let mut runs: BTreeMap<PlateId, Vec<u32>> = BTreeMap::new();
        for o in job.tally.outcomes() {
            runs.entry(o.plate).or_default().push(o.run);
        }
        let tallied = runs.clone();
        let mut outcomes = Vec::with_capacity(entries.len());
        let mut levels: BTreeMap<SpoolId, f64> = BTreeMap::new();
        for (i, entry) in entries.iter().enumerate() {
            let known = runs.entry(entry.plate).or_default();
            let number = job.plate_number(entry.plate).unwrap_or(0);
            let last = known.iter().copied().max().unwrap_or(0);
            let run = match entry.run {
                Some(run) => run,
                // What is written anew is the latest run.
                None if entry.replace && last > 0 => last,
                None => last.saturating_add(1),
            };
            let before = tallied.get(&entry.plate).is_some_and(|r| r.contains(&run));
            if known.contains(&run) && !(before && entry.replace) {
                let why =
                    if before { "is tallied already: replace it, or tally a further run" } else { "is there twice" };
                return Err((i, format!("run {run} of plate {number} {why}")));
            }
            let mut outcome = self.outcome(entry, run).map_err(|why| (i, why))?;
            if !known.contains(&run) {
                known.push(run);
            }
            let plate = job.plate(entry.plate).ok_or_else(|| (i, "there is no such plate".to_owned()))?;
            count_down(job, plate, entry.spool, &mut outcome, &mut levels).map_err(|why| (i, why))?;
            outcomes.push(outcome);
        }
        set_since_surface(job, &mut outcomes);
        Ok(Command::Tally { outcomes, spools: levels.into_iter().collect() })
    }
}

/// Counts the plate's spools down: both carriages take the same.
fn count_down(
    job: &Job,
    plate: &Plate,
    count: SpoolCount,
    outcome: &mut PlateOutcome,
    levels: &mut BTreeMap<SpoolId, f64>,
) -> Result<(), String> {
    if count == SpoolCount::Leave {
        // Written anew, a run stays counted.
        let old = job.tally.of_plate(plate.id).find(|o| o.run == outcome.run);
        outcome.counted_spool = old.and_then(|o| o.counted_spool);
        return Ok(());
    }
    let second = job.twin(plate).and(plate.twin_spool);
    let spools: Vec<_> = [plate.spool, second].into_iter().flatten().filter_map(|id| job.spool(id)).collect();
    let number = outcome.number;
    let Some(first) = spools.first() else {
        return Err(format!(
            "plate {number} has no spool to count down: choose its spool first, or leave spools alone"
        ));
    };
    outcome.counted_spool = Some(first.id);
    match count {
        SpoolCount::Leave => {}
        SpoolCount::Left(grams) => {
            if !limits::GRAMS_LEFT.holds(grams) {
                return Err(format!("{grams} g left on a spool cannot be: write {}", limits::GRAMS_LEFT.words()));
            }
            levels.insert(first.id, grams);
        }
        SpoolCount::TakeOff => {
            let used = outcome.actual_g.or(outcome.estimated_g);
            let Some(used) = used else {
                return Err(format!("plate {number} has no estimate of its filament: write the grams used"));
            };
            let heads = if job.twin(plate).is_some() { 2.0 } else { 1.0 };
            for spool in spools {
                let left = levels.get(&spool.id).copied().unwrap_or(spool.grams_left);
                levels.insert(spool.id, (left - used / heads).max(0.0));
            }
        }
    }
    Ok(())
}

/// Says of each outcome how many plates its machine had run since its surface was refreshed; unknown where that was later, or never said.
fn set_since_surface(job: &Job, outcomes: &mut [PlateOutcome]) {
    let refreshed = job.readiness.ticks.iter().filter(|t| t.item == ReadyItem::Surface);
    for (machine, when) in refreshed.map(|t| (t.machine, t.when)).collect::<Vec<_>>() {
        let replaced: std::collections::BTreeSet<(PlateId, u32)> = outcomes.iter().map(|o| (o.plate, o.run)).collect();
        let of = |m: MachineId| m == machine;
        let old = job.tally.outcomes().iter().filter(|o| of(o.machine) && !replaced.contains(&(o.plate, o.run)));
        let new = outcomes.iter().filter(|o| of(o.machine));
        let mut ended: Vec<_> = old.chain(new).map(|o| o.ended).filter(|t| *t > when).collect();
        ended.sort_unstable();
        for o in outcomes.iter_mut().filter(|o| of(o.machine) && o.ended > when) {
            o.since_surface = u32::try_from(ended.partition_point(|t| *t < o.ended)).ok();
        }
    }
}
