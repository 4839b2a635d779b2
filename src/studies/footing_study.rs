//! The same order line as bare, with brims of several widths, with a raft.

use std::{
    sync::Arc,
    time::{Duration, Instant},
};

use super::{
    FilledPlate, FootingRow, FootingRows, MARGIN_WANTED, StudyError, check_fit, filling::Filling, footing_variants,
};
use crate::{
    document::{
        CopyId, Footing, Job, Machine, MachineId, Material, Part, PartId, Plate, PlateId, Recipe,
        limits::{FOOTING_WIDTH, MOST_COPIES},
    },
    estimate::{self, FootingProfile, PlateCopy, PlateInput, Profile, RecipeFault, Tour},
    geom::Region,
    packing::{self, Aim, Item},
    plate::{self, PartShape, Prepared, Shapes},
    stability::{Conditions, MassProfile, Stance, judge, suggest_footing},
    watch::Watch,
};

/// What a study of footings starts from.
#[derive(Debug, Clone)]
pub struct FootingStudy {
    /// The job: clearances, assumptions, machines, materials, recipes. Its plates are not looked at.
    pub job: Arc<Job>,
    /// The part. Its plate has its material, colour and recipe.
    pub part: PartId,
    /// The machine whose bed is filled.
    pub machine: MachineId,
    /// The part from above.
    pub shape: Arc<PartShape>,
    /// What one copy costs in its recipe.
    pub profile: Arc<Profile>,
    /// Its mass over height.
    pub mass: MassProfile,
    /// What its supports stand on; empty without supports.
    pub supports: Region,
    /// Seed of every search.
    pub seed: u64,
    /// Rounds of each search; `None` for as long as the time allows.
    pub rounds: Option<u64>,
    /// Time for all searches together; `None`: no limit.
    pub time: Option<Duration>,
    /// Footings to compare; `None` for those of [`footing_variants`].
    pub variants: Option<Vec<Footing>>,
}

/// The things that a study names by their ids.
struct Found<'a> {
    job: &'a Job,
    part: &'a Part,
    machine: &'a Machine,
    material: &'a Material,
    recipe: &'a Recipe,
    conditions: Conditions,
}

impl FootingStudy {
    /// What one copy stands on besides its contact.
    fn patches(&self) -> Option<&Region> {
        Some(&self.supports).filter(|s| !s.is_empty())
    }
    fn found(&self) -> Result<Found<'_>, StudyError> {
        let job = &*self.job;
        let part = job.part(self.part).ok_or(StudyError::NoPart)?;
        let machine = job.machine(self.machine).ok_or(StudyError::NoMachine)?;
        let (Some(material), Some(recipe)) = (job.material(part.material), job.recipe(part.recipe)) else {
            return Err(StudyError::NoRecipe(part.name.clone()));
        };
        let solid = self.mass.layers().iter().any(|l| l.volume_mm3 > 0.0);
        if !solid || self.shape.shadow.is_empty() || self.shape.contact.is_empty() {
            return Err(StudyError::NoBody(part.name.clone()));
        }
        check_fit(job, part, Footing::Bare, machine, &self.shape)?;
        let conditions = Conditions::of(job, material, recipe, machine);
        Ok(Found { job, part, machine, material, recipe, conditions })
    }
}

/// Compares footings for one part: for each of them a plate with this part alone, as full as Top up makes it, timed, and the part
/// judged on it.
///
/// What is left out: parts that fail. A part that stands badly costs more than its row says; how much will be known once failures are
/// counted. The hand work is assumed ([`crate::document::Assumptions`]), margins are a ranking and no promise.
///
/// `watch` hears how far the study is; `finished` hears of each row. A study that is cancelled ends with the rows so far. The same
/// seed and rounds give the same rows unless `time` ends a search.
///
/// # Errors
/// [`StudyError`] where the part fits the machine not even bare, has no body, or numbers are out of range.
pub fn footing_study(
    study: &FootingStudy,
    watch: &dyn Watch,
    finished: &mut dyn FnMut(&FootingRow),
) -> Result<FootingRows, StudyError> {
    let found = study.found()?;
    let (contact, c) = (study.shape.contact.region(), &found.conditions);
    let variants = match &study.variants {
        Some(asked) => asked.clone(),
        None => footing_variants(&study.mass, contact, study.patches(), c),
    };
    let suggested = suggest_footing(&study.mass, contact, study.patches(), c, MARGIN_WANTED).footing;
    let end = study.time.and_then(|t| Instant::now().checked_add(t));
    let share = |i: usize| i as f64 / variants.len().max(1) as f64;
    let mut done = FootingRows::default();
    for (i, &footing) in variants.iter().enumerate() {
        // What one search leaves of its time is there for the next ones.
        let until = end.map(|end| {
            let now = Instant::now();
            now + end.saturating_duration_since(now) / (variants.len() - i) as u32
        });
        let what = footing.words();
        watch.progress(share(i), &what);
        let filling = Filling { watch, until, span: (share(i), share(i + 1)), what: &what };
        let Some((copies, plate)) = filled(study, &found, footing, &filling)? else { return Ok(done) };
        let judgement = judge(&study.mass, &Stance::new(contact, study.patches(), footing, c), c);
        let row = FootingRow { footing, is_suggested: footing == suggested, copies, plate, least: judgement.least };
        finished(&row);
        done.rows.push(row);
    }
    done.is_complete = true;
    watch.progress(1.0, "footings");
    Ok(done)
}

/// How many copies a plate holds, and what it costs; `None` when cancelled.
fn filled(
    study: &FootingStudy,
    found: &Found<'_>,
    footing: Footing,
    filling: &Filling<'_>,
) -> Result<Option<(usize, Option<FilledPlate>)>, StudyError> {
    let Found { part, machine, material, recipe, .. } = *found;
    if !FOOTING_WIDTH.holds(footing.width_mm()) {
        let (what, unit) = (FOOTING_WIDTH.name, FOOTING_WIDTH.unit);
        let (value, least, most) = (footing.width_mm(), FOOTING_WIDTH.least, FOOTING_WIDTH.most);
        return Err(RecipeFault::OutOfRange { what, value, unit, least, most }.into());
    }
    if filling.watch.cancelled() {
        return Ok(None);
    }
    if check_fit(found.job, part, footing, machine, &study.shape).is_err() {
        return Ok(Some((0, None)));
    }
    let items = items(study, found, footing, filling)?;
    if filling.watch.cancelled() {
        return Ok(None);
    }
    let laid = Arc::new(FootingProfile::compute(study.shape.contact.region(), footing, recipe)?);
    let copies: Vec<PlateCopy> = items
        .iter()
        .zip(1..)
        .map(|(item, id)| PlateCopy {
            copy: CopyId(id),
            profile: study.profile.clone(),
            footing: laid.clone(),
            placement: item.at,
        })
        .collect();
    if copies.is_empty() {
        return Ok(Some((0, None)));
    }
    let estimate = estimate::plate(&PlateInput { machine, material, recipe, copies: &copies }, Tour::Exact)?;
    let n = copies.len() as f64;
    let plate = FilledPlate {
        time_s: estimate.time_s,
        time_per_copy_s: estimate.time_s / n,
        mass_per_copy_g: estimate.filament.mass_g / n,
        clean_up_s: found.job.clean_up_s(found.part, footing) * n,
    };
    Ok(Some((copies.len(), Some(plate))))
}

/// Where the copies lie on a plate filled with the part.
fn items(
    study: &FootingStudy,
    found: &Found<'_>,
    footing: Footing,
    filling: &Filling<'_>,
) -> Result<Vec<Item>, StudyError> {
    let part = Part { footing, ..found.part.clone() };
    let plate = Plate {
        id: PlateId(u32::MAX),
        machine: found.machine.id,
        material: part.material,
        colour: part.colour.clone(),
        recipe: part.recipe,
        spool: None,
        copies: Vec::new(),
    };
    let (shapes, id) = (Shapes::from([(part.id, study.shape.clone())]), plate.id);
    let job = Job { parts: vec![part], plates: vec![plate], ..found.job.clone() };
    let mut task = plate::top_up_task(&job, &[id], Some(study.part), None, false, &shapes, &Prepared::new())?;
    if let Aim::TopUp { at_most, .. } = &mut task.problem.aim {
        for most in at_most {
            *most = (*most).min(MOST_COPIES);
        }
    }
    let mut layout = packing::solve(&task.problem, study.seed, study.rounds, filling);
    if layout.count() == 0 && filling.until.is_some() {
        // The time was up before there was any: the first layout is quick.
        let untimed = Filling { until: None, ..*filling };
        layout = packing::solve(&task.problem, study.seed, Some(0), &untimed);
    }
    Ok(layout.beds.into_iter().flatten().collect())
}
