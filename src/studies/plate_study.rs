//! A plate as it is, and with other footings.

use std::{
    sync::Arc,
    time::{Duration, Instant},
};

use super::{
    FilledPlate, LaidCopy, PlateRow, PlateVariant, StudiedParts, StudyError,
    filling::Filling,
    laid_plate::{Setting, laid_plate},
};
use crate::{
    document::{Copy, Footing, Job, PartId, Plate, PlateId, limits::FOOTING_WIDTH},
    estimate::RecipeFault,
    packing,
    plate::{self, Checker, PlacedPlate, Prepared, Shapes, Target},
    stability::{Conditions, Least},
    watch::Watch,
};

/// What the comparison of a plate with itself starts from.
#[derive(Debug, Clone)]
pub struct PlateStudy {
    /// The job, with the plate as it is.
    pub job: Arc<Job>,
    /// Which plate.
    pub plate: PlateId,
    /// What is known of every part on it.
    pub parts: StudiedParts,
    /// Seed of every search.
    pub seed: u64,
    /// Rounds of each search; `None` for as long as the time allows.
    pub rounds: Option<u64>,
    /// Time for all searches together; `None`: no limit.
    pub time: Option<Duration>,
    /// The ways to compare.
    pub variants: Vec<PlateVariant>,
}

/// Compares a plate with itself on other footings, variant by variant; `finished` hears of each. Where the copies still lie clear of one
/// another, they stay where they are; else they are packed, as many on this plate as fit, the rest on further plates of its kind.
/// A study that is cancelled ends with the rows so far; the flag says whether it is complete.
///
/// The same seed and rounds give the same rows unless `time` ends a search.
///
/// # Errors
/// [`StudyError`] where plate, machine, material, recipe or a part's outlines are missing, or a width is out of range.
pub fn plate_study(
    study: &PlateStudy,
    watch: &dyn Watch,
    finished: &mut dyn FnMut(&PlateRow),
) -> Result<(Vec<PlateRow>, bool), StudyError> {
    let job = &*study.job;
    let plate = job.plate(study.plate).ok_or(StudyError::NoPlate)?;
    let machine = job.machine(plate.machine).ok_or(StudyError::NoMachine)?;
    let (Some(material), Some(recipe)) = (job.material(plate.material), job.recipe(plate.recipe)) else {
        return Err(StudyError::NoRecipe("this plate".into()));
    };
    if plate.copies.is_empty() {
        return Err(StudyError::NoCopies);
    }
    for copy in &plate.copies {
        if !study.parts.contains_key(&copy.part) {
            return Err(StudyError::NoMesh(job.part(copy.part).map(|p| p.name.clone()).unwrap_or_default()));
        }
    }
    let conditions = Conditions::of(job, material, recipe, machine);
    let setting = Setting { job, machine, material, recipe, conditions: &conditions };
    let end = study.time.and_then(|t| Instant::now().checked_add(t));
    let share = |i: usize| i as f64 / study.variants.len().max(1) as f64;
    let mut rows = Vec::new();
    for (i, &variant) in study.variants.iter().enumerate() {
        if watch.cancelled() {
            return Ok((rows, false));
        }
        let until = end.map(|end| {
            let now = Instant::now();
            now + end.saturating_duration_since(now) / (study.variants.len() - i) as u32
        });
        let what = variant.words();
        watch.progress(share(i), &what);
        let filling = Filling { watch, until, span: (share(i), share(i + 1)), what: &what };
        let Some(row) = row(study, &setting, plate, variant, &filling)? else { return Ok((rows, false)) };
        finished(&row);
        rows.push(row);
    }
    watch.progress(1.0, "plates");
    Ok((rows, true))
}

/// One variant; `None` when cancelled.
fn row(
    study: &PlateStudy,
    setting: &Setting<'_>,
    plate: &Plate,
    variant: PlateVariant,
    filling: &Filling<'_>,
) -> Result<Option<PlateRow>, StudyError> {
    if let PlateVariant::All(footing) = variant
        && !FOOTING_WIDTH.holds(footing.width_mm())
    {
        let (what, unit) = (FOOTING_WIDTH.name, FOOTING_WIDTH.unit);
        let (value, least, most) = (footing.width_mm(), FOOTING_WIDTH.least, FOOTING_WIDTH.most);
        return Err(RecipeFault::OutOfRange { what, value, unit, least, most }.into());
    }
    let with = with_variant(study, setting, plate, variant);
    let its = with.plate(plate.id).unwrap_or(plate);
    let shapes: Shapes = study.parts.iter().map(|(id, p)| (*id, p.shape.clone())).collect();
    let (prepared, asked) = (Prepared::new(), plate.copies.len());
    let stays = variant == PlateVariant::AsItIs || Checker::new(&with, its, &shapes, &prepared).conflicts().is_empty();
    let as_it_lies = |copies: &mut dyn Iterator<Item = &Copy>| -> Vec<LaidCopy> {
        copies
            .map(|c| LaidCopy { part: c.part, copy: Some(c.id), footing: with.footing(c), at: c.placement() })
            .collect()
    };
    let mut here = Vec::new();
    let (mut further, mut left) = (Vec::<Arc<[LaidCopy]>>::new(), 0);
    if stays {
        here = as_it_lies(&mut its.copies.iter());
    } else {
        let task = plate::pack_task(&with, &[plate.id], None, true, &shapes, &prepared)?;
        let mut layout = packing::solve(&task.problem, study.seed, study.rounds, filling);
        if filling.watch.cancelled() {
            return Ok(None);
        }
        if layout.count() == 0 && filling.until.is_some() {
            // The time was up before there was any: the first layout is quick.
            layout = packing::solve(&task.problem, study.seed, Some(0), &Filling { until: None, ..*filling });
        }
        let movable = task.mapping.movable();
        here.extend(as_it_lies(&mut its.copies.iter().filter(|c| !movable.contains(&c.id))));
        let placed = task.mapping.back(&layout);
        for p in &placed.plates {
            let laid = laid_of(&with, its, p);
            match &p.target {
                Target::Existing(_) => here.extend(laid),
                Target::New(_) => further.push(laid.into()),
            }
        }
        left = placed.unplaced.iter().map(|u| u.count).sum();
    }
    let is_own_mirror = |id: PartId| study.parts.get(&id).is_some_and(|p| p.shape.own_mirror);
    let made: usize = with.lies_on(its, is_own_mirror).values().sum();
    let per_copy = with.twin(its).map(|_| made as f64 / its.copies.len().max(1) as f64);
    let costs = |copies: &[LaidCopy]| -> Result<_, StudyError> {
        let laid = laid_plate(setting, &study.parts, copies)?;
        Ok(laid.map(|(plate, least)| (per_copy.map_or(plate, |n| plate.twice(n)), least)))
    };
    let (plate, least): (Option<FilledPlate>, Option<(Least, PartId)>) = match costs(&here)? {
        Some((plate, least)) => (Some(plate), least),
        None => (None, None),
    };
    let mut further_s = 0.0;
    for copies in &further {
        further_s += costs(copies)?.map_or(0.0, |(p, _)| p.time_s);
    }
    let here: Arc<[LaidCopy]> = here.into();
    Ok(Some(PlateRow { variant, asked, here, further, left, is_moved: !stays, plate, further_s, least }))
}

/// The job with this plate alone, its copies on the variant's footings.
fn with_variant(study: &PlateStudy, setting: &Setting<'_>, plate: &Plate, variant: PlateVariant) -> Job {
    let job = &*study.job;
    let mut its = plate.clone();
    let mut suggested: Vec<(PartId, Footing, Footing)> = Vec::new();
    for copy in &mut its.copies {
        let now = job.footing(copy);
        let footing = match variant {
            PlateVariant::AsItIs => now,
            PlateVariant::All(footing) => footing,
            PlateVariant::Suggested => {
                let known = suggested.iter().find(|s| (s.0, s.1) == (copy.part, now)).map(|s| s.2);
                known.unwrap_or_else(|| {
                    let footing = study.parts.get(&copy.part).map_or(now, |part| {
                        let margin = part.judged(now, setting.conditions).margin();
                        let better = part.suggested(setting.conditions);
                        if margin < super::MARGIN_WANTED && better.margin > margin { better.footing } else { now }
                    });
                    suggested.push((copy.part, now, footing));
                    footing
                })
            }
        };
        copy.footing = Some(footing);
    }
    Job { plates: vec![its], ..job.clone() }
}

/// A plate's copies where a layout has them. A place for a new copy is none: the layout has as many as there were.
fn laid_of<'a>(job: &'a Job, plate: &'a Plate, placed: &'a PlacedPlate) -> Vec<LaidCopy> {
    let footing = |id| plate.copies.iter().find(|c| c.id == id).map(|c| job.footing(c));
    let laid = |c: &plate::PlacedCopy| {
        let id = c.copy?;
        Some(LaidCopy { part: c.part, copy: Some(id), footing: footing(id)?, at: c.at })
    };
    placed.copies.iter().filter_map(laid).collect()
}
