//! The same order line as bare, with brims of several widths, with a raft.

use std::{
    collections::BTreeMap,
    sync::Arc,
    time::{Duration, Instant},
};

use super::{
    FilledPlate, FootingRow, FootingRows, LaidCopy, StudiedPart, StudiedParts, StudyError, check_fit,
    filling::Filling,
    footing_variants,
    laid_plate::{Setting, laid_plate},
};
use crate::{
    document::{
        Footing, Job, Machine, MachineId, Material, Part, PartId, Plate, PlateId, Recipe,
        limits::{FOOTING_WIDTH, MOST_COPIES},
    },
    estimate::RecipeFault,
    packing::{self, Aim, Item, Layout},
    plate::{self, Prepared, Shapes},
    stability::Conditions,
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
    /// What is known of the part.
    pub studied: StudiedPart,
    /// Seed of every search.
    pub seed: u64,
    /// Rounds of each search; `None` for as long as the time allows.
    pub rounds: Option<u64>,
    /// Time for all searches together; `None`: no limit.
    pub time: Option<Duration>,
    /// Footings to compare; `None` for those of [`footing_variants`].
    pub variants: Option<Vec<Footing>>,
    /// The suggested footing is compared too, where it is not among them.
    pub with_suggested: bool,
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

impl Found<'_> {
    fn setting(&self) -> Setting<'_> {
        let Self { job, machine, material, recipe, ref conditions, .. } = *self;
        Setting { job, machine, material, recipe, conditions }
    }
}

impl FootingStudy {
    fn found(&self) -> Result<Found<'_>, StudyError> {
        let job = &*self.job;
        let part = job.part(self.part).ok_or(StudyError::NoPart)?;
        let machine = job.machine(self.machine).ok_or(StudyError::NoMachine)?;
        let (Some(material), Some(recipe)) = (job.material(part.material), job.recipe(part.recipe)) else {
            return Err(StudyError::NoRecipe(part.name.clone()));
        };
        if !self.studied.is_solid() {
            return Err(StudyError::NoBody(part.name.clone()));
        }
        check_fit(job, part, Footing::Bare, machine, &self.studied.shape)?;
        let conditions = Conditions::of(job, material, recipe, machine);
        Ok(Found { job, part, machine, material, recipe, conditions })
    }
}

/// Compares footings for one part: for each of them a plate with this part alone, as full as Top up makes it, timed, and the part
/// judged on it.
///
/// The hand work and the chance that a copy fails are assumed ([`crate::document::Assumptions`]); margins are a ranking and no promise.
///
/// `watch` hears how far the study is; `finished` hears of each row, the widest first; the answer has them in the order of the variants. A study that is cancelled ends with the rows so far. The same
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
    let suggested = study.studied.suggested(&found.conditions).footing;
    let mut variants = match &study.variants {
        Some(asked) => asked.clone(),
        None => footing_variants(suggested),
    };
    if study.with_suggested && !variants.contains(&suggested) {
        variants.push(suggested);
    }
    // The widest of each kind first: its layout also holds on every narrower one, which is never worse for it then.
    let mut order: Vec<usize> = (0..variants.len()).collect();
    order.sort_by(|&a, &b| variants[b].width_mm().total_cmp(&variants[a].width_mm()).then(a.cmp(&b)));
    let mut wider: BTreeMap<bool, Layout> = BTreeMap::new();
    let end = study.time.and_then(|t| Instant::now().checked_add(t));
    let share = |i: usize| i as f64 / variants.len().max(1) as f64;
    let mut rows: Vec<Option<FootingRow>> = vec![None; variants.len()];
    let mut is_complete = true;
    for (i, &at) in order.iter().enumerate() {
        let footing = variants[at];
        // What one search leaves of its time is there for the next ones.
        let until = end.map(|end| {
            let now = Instant::now();
            now + end.saturating_duration_since(now) / (variants.len() - i) as u32
        });
        let what = footing.words();
        watch.progress(share(i), &what);
        let filling = Filling { watch, until, span: (share(i), share(i + 1)), what: &what };
        let is_raft = matches!(footing, Footing::Raft { .. });
        let Some((layout, plate)) = filled(study, &found, footing, wider.entry(is_raft).or_default(), &filling)? else {
            is_complete = false;
            break;
        };
        let least = study.studied.judged(footing, &found.conditions).least;
        let row =
            FootingRow { footing, is_suggested: footing == suggested, copies: layout.len(), layout, plate, least };
        finished(&row);
        rows[at] = Some(row);
    }
    if is_complete {
        watch.progress(1.0, "footings");
    }
    Ok(FootingRows { rows: rows.into_iter().flatten().collect(), is_complete })
}

/// Where copies lie, and what that costs; no cost of no copies.
type Filled = (Arc<[LaidCopy]>, Option<FilledPlate>);

/// Where copies lie on a full plate, and what it costs; `None` when cancelled.
fn filled(
    study: &FootingStudy,
    found: &Found<'_>,
    footing: Footing,
    wider: &mut Layout,
    filling: &Filling<'_>,
) -> Result<Option<Filled>, StudyError> {
    if !FOOTING_WIDTH.holds(footing.width_mm()) {
        let (what, unit) = (FOOTING_WIDTH.name, FOOTING_WIDTH.unit);
        let (value, least, most) = (footing.width_mm(), FOOTING_WIDTH.least, FOOTING_WIDTH.most);
        return Err(RecipeFault::OutOfRange { what, value, unit, least, most }.into());
    }
    if filling.watch.cancelled() {
        return Ok(None);
    }
    if check_fit(found.job, found.part, footing, found.machine, &study.studied.shape).is_err() {
        return Ok(Some((Arc::default(), None)));
    }
    let items = items(study, found, footing, wider, filling)?;
    if filling.watch.cancelled() {
        return Ok(None);
    }
    let copies: Arc<[LaidCopy]> =
        items.iter().map(|item| LaidCopy { part: study.part, copy: None, footing, at: item.at }).collect();
    let parts = StudiedParts::from([(study.part, study.studied.clone())]);
    let plate = laid_plate(&found.setting(), &parts, &copies)?.map(|(plate, _)| plate);
    Ok(Some((copies, plate)))
}

/// Where the copies lie on a plate filled with the part: at least as many as on a wider footing, whose layout is taken and replaced.
fn items(
    study: &FootingStudy,
    found: &Found<'_>,
    footing: Footing,
    wider: &mut Layout,
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
        twin: None,
        twin_spool: None,
        run: crate::document::RunState::default(),
        copies: Vec::new(),
    };
    let (shapes, id) = (Shapes::from([(part.id, study.studied.shape.clone())]), plate.id);
    let job = Job { parts: vec![part], plates: vec![plate], ..found.job.clone() };
    let mut task = plate::top_up_task(&job, &[id], Some(study.part), None, false, &shapes, &Prepared::new())?;
    if let Aim::TopUp { at_most, .. } = &mut task.problem.aim {
        for most in at_most {
            *most = (*most).min(MOST_COPIES);
        }
    }
    let now = Some(&*wider).filter(|l| l.count() > 0);
    let mut layout = packing::solve_from(&task.problem, now, study.seed, study.rounds, filling);
    if layout.count() == 0 && filling.until.is_some() {
        // The time was up before there was any: the first layout is quick.
        let untimed = Filling { until: None, ..*filling };
        layout = packing::solve_from(&task.problem, now, study.seed, Some(0), &untimed);
    }
    *wider = layout.clone();
    Ok(layout.beds.into_iter().flatten().collect())
}
