//! What a person says, as an outcome that stands by itself.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::TallyEntry;
use crate::{
    document::{Cause, Copy, Job, OutcomeCopy, OutcomeId, OutcomePart, Plate, PlateOutcome, limits},
    drawing::twin_name,
    geom::Point,
    plate::PlateTwin,
    session::Session,
    words,
};

/// Seconds by which clocks may differ before a time counts as future.
const JUST_NOW_S: i64 = 120;

impl Session {
    /// An entry as an outcome of run `run`; the error is a sentence that says what to do.
    pub(super) fn outcome(&self, entry: &TallyEntry, run: u32) -> Result<PlateOutcome, String> {
        let job = self.job();
        let plate = job.plate(entry.plate).ok_or("there is no such plate")?;
        let number = job.plate_number(plate.id).unwrap_or(0);
        let named = |why: String| format!("plate {number}: {why}");
        let missing = |what: &str| named(format!("its {what} is missing from the job"));
        let machine = job.machine(plate.machine).ok_or_else(|| missing("machine"))?;
        let material = job.material(plate.material).ok_or_else(|| missing("material"))?;
        let recipe = job.recipe(plate.recipe).ok_or_else(|| missing("recipe"))?;
        let mut copies = self.lying(job, plate);
        if copies.is_empty() {
            return Err(named("it is empty, so nothing came out of it: choose another plate".into()));
        }
        let unnamed_bad = mark_bad(&mut copies, entry).map_err(named)?;
        let actual_s = in_range(entry.hours, limits::ACTUAL.least / 3600.0, limits::ACTUAL.most / 3600.0)
            .map(|h| h * 3600.0)
            .ok_or_else(|| named(format!("{} hours cannot be: write more than 0 and at most 1000", entry.hours)))?;
        if entry.grams.is_some_and(|g| !limits::ACTUAL_G.holds(g)) {
            let grams = entry.grams.unwrap_or_default();
            return Err(named(format!("{grams} g cannot be: write {}", limits::ACTUAL_G.words())));
        }
        let ended = entry.ended.or(plate.run.ended).unwrap_or_else(|| self.now());
        if ended.as_second() > self.now().as_second().saturating_add(JUST_NOW_S) {
            return Err(named(format!("{} is in the future: write when it ended", self.in_words(ended))));
        }
        let estimate = self.view(plate.id).and_then(|v| v.estimate.as_ref());
        let bed = machine.bed.bounds();
        let on_it = |p: &&crate::document::Part| copies.iter().any(|c| c.part == Some(p.id));
        let parts = job.parts.iter().filter(on_it).map(|p| OutcomePart {
            part: p.id,
            letter: p.letter.clone(),
            name: p.name.clone(),
        });
        let outcome = PlateOutcome {
            id: OutcomeId(0),
            plate: plate.id,
            number: u32::try_from(number).unwrap_or(u32::MAX),
            run,
            ended,
            actual_s,
            actual_g: entry.grams,
            by: entry.by.trim().to_owned(),
            note: entry.note.trim().to_owned(),
            machine: machine.id,
            machine_name: machine.name.clone(),
            bed_mm: [bed.min.x, bed.min.y, bed.max.x, bed.max.y],
            material: material.id,
            material_name: material.name.clone(),
            recipe: recipe.id,
            recipe_name: recipe.name.clone(),
            time_factor: recipe.time_factor,
            estimated_s: estimate.map(|e| e.time_s),
            estimated_g: estimate.map(|e| e.filament.mass_g),
            since_surface: None,
            counted_spool: None,
            parts: parts.collect(),
            copies,
            unnamed_bad,
            unnamed_cause: entry.cause.filter(|_| unnamed_bad > 0),
        };
        let mut faults = Vec::new();
        crate::document::check::tally::outcome(&outcome, "", &mut faults);
        match faults.into_iter().next() {
            None => Ok(outcome),
            Some(f) => {
                let field = match f.place.trim_start_matches('.') {
                    "by" => "initials",
                    other => other,
                };
                Err(named(format!("{field}: {}", f.text)))
            }
        }
    }

    /// A time as people write it, in the job's time zone.
    pub(super) fn in_words(&self, at: Timestamp) -> String {
        let zone = crate::batch::zone_of(&self.job().shifts.hours);
        at.to_zoned_datetime(zone).strftime("%-d %b %Y %H:%M").to_string()
    }

    /// What lies on a plate, twins included, all of it good.
    fn lying(&self, job: &Job, plate: &Plate) -> Vec<OutcomeCopy> {
        let twin = PlateTwin::of(job, plate);
        let own_mirror = |id| self.shapes().get(&id).is_some_and(|s| s.own_mirror);
        let middle = |c: &Copy| {
            let origin = Point::new(c.x_mm, c.y_mm);
            let Some(shape) = self.shapes().get(&c.part) else { return origin };
            let bounds = shape.shadow.region().placed(c.placement()).bounds();
            if bounds.is_empty() { origin } else { bounds.centre() }
        };
        let mut all = Vec::new();
        for c in &plate.copies {
            let (at, footing, copy) = (middle(c), job.footing(c), job.copy_name(c));
            let lies = |copy, part, at: Point| OutcomeCopy { copy, part, footing, x_mm: at.x, y_mm: at.y, bad: None };
            if let Some(twin) = &twin {
                let there = crate::geom::Placement::new(at.x, at.y, 0.0);
                let part = job.part_of_twin(plate, c, own_mirror);
                all.push(lies(twin_name(&copy), part, twin.placement(there).origin()));
            }
            all.push(lies(copy, Some(c.part), at));
        }
        all
    }
}

fn in_range(v: f64, least: f64, most: f64) -> Option<f64> {
    (v >= least && v <= most).then_some(v)
}

/// Marks the copies that are named as bad; how many more are bad, of which nobody said which. The error says what does not agree.
fn mark_bad(copies: &mut [OutcomeCopy], entry: &TallyEntry) -> Result<u32, String> {
    let all = copies.len();
    let places: BTreeMap<String, usize> = copies.iter().enumerate().map(|(i, c)| (plain(&c.copy), i)).collect();
    for (name, own) in &entry.bad_copies {
        let shown: String = name.chars().take(40).collect();
        let Some(copy) = places.get(&plain(name)).and_then(|i| copies.get_mut(*i)) else {
            return Err(format!("there is no copy {shown:?} on it: it has {}", some(copies)));
        };
        if copy.bad.is_some() {
            return Err(format!("{shown} is named twice"));
        }
        copy.bad = Some(own.or(entry.cause).unwrap_or(Cause::Other));
    }
    let named = entry.bad_copies.len();
    let (good, bad) = match (entry.good, entry.bad) {
        (None, None) => (all - named, named),
        (Some(good), None) => (good, all.saturating_sub(good)),
        (None, Some(bad)) => (all.saturating_sub(bad), bad),
        (Some(good), Some(bad)) => (good, bad),
    };
    if good.checked_add(bad) != Some(all) {
        let lie = words::copies(all);
        return Err(format!("{good} good and {bad} bad do not agree with the {lie} on it: count again"));
    }
    if bad < named {
        return Err(format!("{} named as bad, but only {bad} counted as bad: count again", words::copies(named)));
    }
    let unnamed = bad - named;
    if unnamed > 0 && good == 0 {
        // All are bad: which ones is known.
        for copy in copies.iter_mut().filter(|c| c.bad.is_none()) {
            copy.bad = Some(entry.cause.unwrap_or(Cause::Other));
        }
        return Ok(0);
    }
    Ok(u32::try_from(unnamed).unwrap_or(u32::MAX))
}

/// "e14" for "E 14": blanks and capitals do not matter; an apostrophe stands for the prime of a twin.
fn plain(name: &str) -> String {
    let letters = name.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase);
    letters.map(|c| if c == '\'' || c == '’' { '\u{2032}' } else { c }).collect()
}

fn some(copies: &[OutcomeCopy]) -> String {
    const SHOWN: usize = 8;
    let names: Vec<&str> = copies.iter().take(SHOWN).map(|c| c.copy.as_str()).collect();
    let more = copies.len().saturating_sub(SHOWN);
    if more > 0 { format!("{} and {more} more", names.join(", ")) } else { names.join(", ") }
}
