//! What is derived of the job: outlines, profiles, conflicts, estimates, findings. Never document state.

use std::{
    collections::{BTreeMap, BTreeSet},
    fmt::Write as _,
    sync::Arc,
};

use super::{
    MeshState, Session,
    beyond_beds::beyond_beds,
    bounded::Bounded,
    profile_store::{outline_hash, profile_hash},
};
use crate::{
    document::{
        Copy, CopyId, Footing, Job, Machine, Margins, Material, MeshId, Part, PartId, Plate, PlateId, Recipe, SpoolId,
    },
    drawing::words,
    estimate::{
        self, CopiesUntil, FootingProfile, PlateCopy, PlateEstimate, PlateInput, Profile, SpoolLevel, SpoolUse, Tour,
    },
    finding::{Finding, FindingKind, Level, Remedy},
    geom::{Placement, Region},
    plate::{self, Checker, Conflict, PartShape, Prepared, Shapes},
    work::{Request, TicketId, kept_outline},
};

/// What makes a part's outlines: mesh, body, map from the file, first layer.
pub(super) type ShapeKey = (MeshId, Option<u32>, [u64; 9], u64);
/// What makes a part's profile: its outlines' key and its recipe's numbers.
pub(super) type ProfileKey = (ShapeKey, String);
/// What a copy and its footing cost.
type Costs = (Arc<Profile>, Arc<FootingProfile>);
/// What makes a footing's profile.
pub(super) type FootingKey = (ShapeKey, String, &'static str, u64);

/// What is derived of a plate.
#[derive(Debug, Clone, Default)]
pub struct PlateView {
    /// Conflicts.
    pub conflicts: Vec<Conflict>,
    /// Time, cooling, filament; `None` while profiles are still computed or numbers make no sense.
    pub estimate: Option<PlateEstimate>,
    /// Why there is no estimate: still computing (`None`), or a sentence.
    pub no_estimate: Option<String>,
    /// Findings of this plate, gravest first.
    pub findings: Vec<Finding>,
    /// What it takes from its spool; `None` without one, or while it is not known.
    pub spool: Option<SpoolUse>,
    inputs: Option<Inputs>,
    checker: Option<Arc<Checker>>,
}

/// All that a plate's view depends on.
#[derive(Debug, Clone, PartialEq)]
struct Inputs {
    plate: Plate,
    machine: Option<Machine>,
    material: Option<Material>,
    recipe: Option<Recipe>,
    margins: Margins,
    parts: Vec<Part>,
    generation: u64,
}

/// Outlines kept that no part of the job has any more, for steps back and forth.
const SPARE_SHAPES: usize = 200;
/// Likewise profiles: each may be as large as a megabyte.
const SPARE_PROFILES: usize = 64;
/// Likewise footings.
const SPARE_FOOTINGS: usize = 200;

impl Default for Caches {
    fn default() -> Self {
        Self {
            shapes_by_key: Bounded::new(SPARE_SHAPES),
            last_known: BTreeMap::new(),
            profiles: Bounded::new(SPARE_PROFILES),
            supports: BTreeMap::new(),
            footings: Bounded::new(SPARE_FOOTINGS),
            prepared: Prepared::new(),
            shapes: Shapes::new(),
            views: BTreeMap::new(),
            job_findings: Vec::new(),
            spool_levels: BTreeMap::new(),
            generation: 0,
        }
    }
}

/// Caches keyed by content.
#[derive(Debug)]
pub(super) struct Caches {
    pub(super) shapes_by_key: Bounded<ShapeKey, Arc<PartShape>>,
    /// Outlines from earlier runs of parts whose mesh is missing; `None` where there are none.
    last_known: BTreeMap<ShapeKey, Option<Arc<PartShape>>>,
    pub(super) profiles: Bounded<ProfileKey, Result<Arc<Profile>, String>>,
    /// Sections of supports, layer by layer; looked for while the height cursor is out.
    pub(super) supports: BTreeMap<ProfileKey, Arc<Vec<Arc<Region>>>>,
    pub(super) footings: Bounded<FootingKey, Result<Arc<FootingProfile>, String>>,
    pub(super) prepared: Prepared,
    pub(super) shapes: Shapes,
    pub(super) views: BTreeMap<PlateId, PlateView>,
    pub(super) job_findings: Vec<Finding>,
    pub(super) spool_levels: BTreeMap<SpoolId, Option<SpoolLevel>>,
    /// Rises when an outline or a profile arrives or goes.
    pub(super) generation: u64,
}

/// Work under way whose answer goes into a cache.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Pending {
    Shape(ShapeKey),
    Profile(ProfileKey),
    Supports(ProfileKey),
    Footing(FootingKey),
    /// Meshes of the job, all in one file.
    Mesh {
        ids: Vec<MeshId>,
    },
    /// Files added by the person.
    Add {
        path: std::path::PathBuf,
    },
    /// A mesh that replaces a part's.
    Replace {
        part: PartId,
        path: std::path::PathBuf,
    },
    /// A lost mesh found again.
    Locate {
        id: MeshId,
        path: std::path::PathBuf,
    },
}

impl Session {
    /// Key of a part's outlines.
    pub(super) fn shape_key(job: &Job, part: &Part) -> Option<ShapeKey> {
        let linear = Self::linear(job, part)?;
        let first = job.recipe(part.recipe)?.first_layer_mm;
        let mut bits = [0; 9];
        for (b, v) in bits.iter_mut().zip(linear.iter().flatten()) {
            *b = (v + 0.0).to_bits();
        }
        Some((part.mesh.clone(), part.body, bits, first.to_bits()))
    }

    pub(super) fn linear(job: &Job, part: &Part) -> Option<[[f64; 3]; 3]> {
        Some(part.pose.linear(job.mesh(&part.mesh)?.unit.mm()))
    }

    pub(super) fn profile_key(job: &Job, part: &Part) -> Option<ProfileKey> {
        let recipe = estimate::profile_recipe(job.recipe(part.recipe)?);
        Some((Self::shape_key(job, part)?, recipe_key(&recipe)))
    }

    /// Brings everything derived up to date with the job; asks for what is missing.
    pub(super) fn refresh(&mut self) {
        self.find_forgotten_meshes();
        let job = self.history.shared_job();
        self.refresh_shapes(&job);
        self.refresh_supports(&job);
        self.stop_superseded(&job);
        self.refresh_views(&job);
        self.refresh_spools(&job);
        self.refresh_job_findings(&job);
        self.tidy_selection(&job);
    }

    fn refresh_shapes(&mut self, job: &Job) {
        let mut shapes = Shapes::new();
        for part in &job.parts {
            let Some(key) = Self::shape_key(job, part) else { continue };
            let Some(loaded) = self.library.loaded(&part.mesh).cloned() else {
                // A mesh that is missing is still drawn by the outline that it had: its content is the key.
                if let Some(shape) = self.last_known(key) {
                    shapes.insert(part.id, shape);
                }
                continue;
            };
            let linear = Self::linear(job, part).unwrap_or_default();
            if let Some(shape) = self.caches.shapes_by_key.get(&key) {
                shapes.insert(part.id, shape.clone());
            } else {
                let first_layer_mm = f64::from_bits(key.3);
                let kept = self.outline_store.clone().map(|store| (store, outline_hash(&key)));
                self.ask_once(Pending::Shape(key.clone()), || Request::Shape {
                    mesh: loaded.body(part.body),
                    linear,
                    first_layer_mm,
                    kept,
                });
                // While a part is turned over, its copies keep their old outline until the new one is there.
                if let Some(old) = self.caches.shapes.get(&part.id) {
                    shapes.insert(part.id, old.clone());
                }
            }
            // No work goes into the layers of what no bed holds: there may be a hundred thousand of them, each as large as a house.
            if let Some(shape) = self.caches.shapes_by_key.get(&key)
                && beyond_beds(job, shape).is_none()
                && let Some(key) = Self::profile_key(job, part)
                && !self.caches.profiles.contains_key(&key)
                && let Some(recipe) = job.recipe(part.recipe)
            {
                let kept = self.profile_store.clone().map(|store| (store, profile_hash(&key)));
                self.ask_once(Pending::Profile(key), || Request::Profile {
                    mesh: loaded.body(part.body),
                    linear,
                    recipe: Box::new(estimate::profile_recipe(recipe)),
                    kept,
                });
            }
        }
        let same = self.caches.shapes.len() == shapes.len()
            && self.caches.shapes.iter().zip(&shapes).all(|(a, b)| a.0 == b.0 && Arc::ptr_eq(a.1, b.1));
        if !same {
            self.caches.generation += 1;
            self.caches.prepared.keep_only(&shapes);
            self.caches.shapes = shapes;
        }
    }

    /// Outlines that a part had in this run or an earlier one.
    fn last_known(&mut self, key: ShapeKey) -> Option<Arc<PartShape>> {
        if self.library.is_awaited(&key.0) {
            return None;
        }
        if let Some(shape) = self.caches.shapes_by_key.get(&key) {
            return Some(shape.clone());
        }
        let store = self.outline_store.as_ref();
        let look = |key: &ShapeKey| {
            let hash = outline_hash(key);
            kept_outline(&hash, &store?.get(&hash)?).map(Arc::new)
        };
        self.caches.last_known.entry(key).or_insert_with_key(look).clone()
    }

    /// While the height cursor is out, asks for the supports of what lies on the plate shown.
    fn refresh_supports(&mut self, job: &Job) {
        let Some(plate) = self.plate_id().and_then(|id| job.plate(id)).filter(|_| self.height_mm().is_some()) else {
            return;
        };
        for part in job.parts.iter().filter(|p| plate.copies.iter().any(|c| c.part == p.id)) {
            let Some(recipe) = job.recipe(part.recipe).filter(|r| r.support.is_some()) else { continue };
            let (Some(key), Some(loaded)) = (Self::profile_key(job, part), self.library.loaded(&part.mesh).cloned())
            else {
                continue;
            };
            let beyond = self.caches.shapes_by_key.get(&key.0).is_some_and(|s| beyond_beds(job, s).is_some());
            if !beyond && !self.caches.supports.contains_key(&key) {
                let linear = Self::linear(job, part).unwrap_or_default();
                self.ask_once(Pending::Supports(key), || Request::Supports {
                    mesh: loaded.body(part.body),
                    linear,
                    recipe: Box::new(estimate::profile_recipe(recipe)),
                });
            }
        }
        let wanted: BTreeSet<ProfileKey> = job.parts.iter().filter_map(|p| Self::profile_key(job, p)).collect();
        self.caches.supports.retain(|key, _| wanted.contains(key));
    }

    /// The section of a part's supports in every layer, in its own coordinates; `None` without supports, or while they are not
    /// known.
    pub fn supports(&self, part: PartId) -> Option<&[Arc<Region>]> {
        let job = self.job();
        self.caches.supports.get(&Self::profile_key(job, job.part(part)?)?).map(|c| c.as_slice())
    }

    /// Submits work unless the same is under way already.
    pub(super) fn ask_once(&mut self, pending: Pending, request: impl FnOnce() -> Request) {
        if self.pending.values().any(|(_, p)| *p == pending) {
            return;
        }
        let ticket = self.runner.submit(request(), 0);
        self.pending.insert(ticket.id, (ticket, pending));
    }

    /// Stops work on profiles, supports and footings that nobody asks for any more: with another recipe or pose, what was
    /// begun would only hold up what is wanted now.
    fn stop_superseded(&self, job: &Job) {
        let wanted: BTreeSet<ProfileKey> = job.parts.iter().filter_map(|p| Self::profile_key(job, p)).collect();
        for (ticket, pending) in self.pending.values() {
            let stale = match pending {
                Pending::Profile(key) | Pending::Supports(key) => !wanted.contains(key),
                Pending::Footing(key) => !Self::wants_footing(job, key),
                _ => false,
            };
            if stale {
                ticket.cancel();
            }
        }
    }

    /// How far the profile is that is computed now, 0 to 1.
    pub fn profile_progress(&self) -> Option<f64> {
        let (ticket, done) = self.profile_done?;
        self.pending.contains_key(&ticket).then_some(done)
    }

    fn refresh_views(&mut self, job: &Arc<Job>) {
        let in_gesture = self.history.in_gesture();
        let known: BTreeSet<PlateId> = job.plates.iter().map(|p| p.id).collect();
        self.caches.views.retain(|id, _| known.contains(id));
        for p in &job.plates {
            let inputs = Inputs {
                plate: p.clone(),
                machine: job.machine(p.machine).cloned(),
                material: job.material(p.material).cloned(),
                recipe: job.recipe(p.recipe).cloned(),
                margins: job.margins,
                parts: job.parts.iter().filter(|q| p.copies.iter().any(|c| c.part == q.id)).cloned().collect(),
                generation: self.caches.generation,
            };
            let old = self.caches.views.remove(&p.id).unwrap_or_default();
            let view = if old.inputs.as_ref() == Some(&inputs) {
                old
            } else if in_gesture {
                self.moved_view(job, p, &old, inputs)
            } else {
                self.fresh_view(job, p, inputs)
            };
            self.caches.views.insert(p.id, view);
        }
    }

    fn fresh_view(&mut self, job: &Job, p: &Plate, inputs: Inputs) -> PlateView {
        let checker = Checker::new(job, p, &self.caches.shapes, &self.caches.prepared);
        let conflicts = checker.conflicts();
        let estimate = self.estimate(job, p, Tour::Exact);
        self.view_of(job, p, inputs, Arc::new(checker), conflicts, estimate)
    }

    fn view_of(
        &self,
        job: &Job,
        p: &Plate,
        inputs: Inputs,
        checker: Arc<Checker>,
        conflicts: Vec<Conflict>,
        (estimate, no_estimate): (Option<PlateEstimate>, Option<String>),
    ) -> PlateView {
        let findings = self.plate_findings(job, p, &conflicts, estimate.as_ref());
        PlateView {
            conflicts,
            estimate,
            no_estimate,
            findings,
            spool: None,
            inputs: Some(inputs),
            checker: Some(checker),
        }
    }

    /// The view while copies are dragged: only what the moved ones touch is looked at afresh.
    fn moved_view(&mut self, job: &Job, p: &Plate, old: &PlateView, inputs: Inputs) -> PlateView {
        let Some(checker) = old.checker.clone() else { return self.fresh_view(job, p, inputs) };
        let before = old.inputs.as_ref().map(|i| &i.plate);
        if before.is_none_or(|b| b.copies.len() != p.copies.len()) {
            return self.fresh_view(job, p, inputs);
        }
        // Against the plate as the checker knows it (as it was when the drag began).
        let moved: Vec<_> = p
            .copies
            .iter()
            .filter(|c| checker.placement(c.id).is_some_and(|at| at != c.placement()))
            .map(|c| (c.id, c.placement()))
            .collect();
        let ids: BTreeSet<CopyId> = moved.iter().map(|m| m.0).collect();
        let mut conflicts: Vec<Conflict> =
            self.drag_base.iter().filter(|c| !c.copies.iter().any(|id| ids.contains(id))).cloned().collect();
        conflicts.extend(checker.conflicts_of(&moved));
        let estimate = match old.estimate.as_ref().map(|e| e.tours.clone()) {
            Some(plan) => self.estimate(job, p, Tour::Approximate(&plan)),
            None => self.estimate(job, p, Tour::Exact),
        };
        self.view_of(job, p, inputs, checker, conflicts, estimate)
    }

    fn estimate(&mut self, job: &Job, p: &Plate, tour: Tour<'_>) -> (Option<PlateEstimate>, Option<String>) {
        let (Some(machine), Some(material), Some(recipe)) =
            (job.machine(p.machine), job.material(p.material), job.recipe(p.recipe))
        else {
            return (None, Some("its machine, material or recipe is missing".into()));
        };
        if let Some(why) = self.missing_on(job, p) {
            return (None, Some(why));
        }
        let mut by_part: BTreeMap<(PartId, &'static str, u64), Costs> = BTreeMap::new();
        let mut copies = Vec::with_capacity(p.copies.len());
        for c in &p.copies {
            let footing = job.footing(c);
            let key = (c.part, footing.kind(), footing.width_mm().to_bits());
            if let std::collections::btree_map::Entry::Vacant(e) = by_part.entry(key) {
                let Some(part) = job.part(c.part) else { continue };
                if self.library.loaded(&part.mesh).is_none() {
                    return (None, None);
                }
                let Some(found) = Self::profile_key(job, part).and_then(|k| self.caches.profiles.get(&k)) else {
                    let shape = Self::shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k));
                    let beyond = shape.and_then(|s| beyond_beds(job, s));
                    return (None, beyond.map(|b| b.why(part)));
                };
                let profile = match found {
                    Ok(p) => p.clone(),
                    Err(why) => return (None, Some(why.clone())),
                };
                let footing = match self.footing_profile(job, part, footing, recipe) {
                    Ok(Some(f)) => f,
                    Ok(None) => return (None, None),
                    Err(why) => return (None, Some(why)),
                };
                e.insert((profile, footing));
            }
            let (profile, footing) = by_part[&key].clone();
            copies.push(PlateCopy { copy: c.id, profile, footing, placement: c.placement() });
        }
        match estimate::plate(&PlateInput { machine, material, recipe, copies: &copies }, tour) {
            Ok(e) => (Some(e), None),
            Err(why) => (None, Some(why.to_string())),
        }
    }

    /// Does a copy on a plate still stand on a footing with this key?
    fn wants_footing(job: &Job, (shape, recipe, kind, width): &FootingKey) -> bool {
        let stands = |c: &Copy| {
            let footing = job.footing(c);
            let alike = footing.kind() == *kind && footing.width_mm().to_bits() == *width;
            alike && job.part(c.part).and_then(|part| Self::shape_key(job, part)).as_ref() == Some(shape)
        };
        let laid = |p: &&Plate| job.recipe(p.recipe).is_some_and(|r| recipe_key(r) == *recipe);
        job.plates.iter().filter(laid).any(|p| p.copies.iter().any(stands))
    }

    /// What a footing costs; `None` while it is worked out. A brim round a contact of thousands of corners, or a raft as wide as a bed,
    /// takes longer than a frame, so both are worked out where parts are; a bare one is only a hull.
    fn footing_profile(
        &mut self,
        job: &Job,
        part: &Part,
        footing: Footing,
        recipe: &Recipe,
    ) -> Result<Option<Arc<FootingProfile>>, String> {
        let Some(key) = Self::shape_key(job, part) else { return Ok(None) };
        // Not the old outline that copies keep while the part is turned over.
        let Some(shape) = self.caches.shapes_by_key.get(&key).cloned() else { return Ok(None) };
        let key = (key, recipe_key(recipe), footing.kind(), footing.width_mm().to_bits());
        if let Some(found) = self.caches.footings.get(&key) {
            return found.clone().map(Some);
        }
        if footing == Footing::Bare {
            let made = FootingProfile::compute(shape.contact.region(), footing, recipe);
            let made = made.map(Arc::new).map_err(|e| e.to_string());
            self.caches.footings.insert(key, made.clone(), |key| Self::wants_footing(job, key));
            return made.map(Some);
        }
        let recipe = Box::new(recipe.clone());
        self.ask_once(Pending::Footing(key), || Request::Footing { shape, footing, recipe });
        Ok(None)
    }

    fn plate_findings(
        &self,
        job: &Job,
        p: &Plate,
        conflicts: &[Conflict],
        estimate: Option<&PlateEstimate>,
    ) -> Vec<Finding> {
        let mut all = plate::findings(job, p, conflicts);
        all.extend(self.missing_findings(job, Some(p)));
        if let Some(e) = estimate {
            let copies = self.estimated_copies(p);
            all.extend(cooling_finding(job, p, &copies, e));
            all.extend(super::mixed_heights::finding(job, p, &copies, e));
        }
        all.sort_by_key(|f| f.level);
        all
    }

    fn refresh_job_findings(&mut self, job: &Arc<Job>) {
        let mut all = Vec::new();
        for part in &job.parts {
            let missing = (part.wanted as usize).saturating_sub(job.placed(part.id));
            if missing > 0 {
                let why = self.why_unplaced.get(&part.id).map(|w| format!(": {w}")).unwrap_or_default();
                let placed = job.placed(part.id);
                all.push(Finding {
                    // What could not be placed stops the order; what nobody has placed yet is only to be done.
                    level: if why.is_empty() { Level::Note } else { Level::Stop },
                    kind: FindingKind::Unplaced,
                    plate: None,
                    copies: Vec::new(),
                    height_mm: None,
                    text: format!(
                        "{} {}: {missing} of {} not on a plate{why}",
                        part.letter,
                        part.name,
                        placed + missing
                    ),
                    remedy: Some(Remedy::PlaceMissing { part: part.id }),
                });
            }
        }
        all.extend(self.overfull_finding(job));
        all.extend(job.parts.iter().filter_map(|part| parted_finding(job, part)));
        let shape = |part: &Part| self.caches.shapes_by_key.get(&Self::shape_key(job, part)?);
        all.extend(job.parts.iter().filter_map(|part| Some(beyond_beds(job, shape(part)?)?.finding(part))));
        for mesh in &job.meshes {
            let Some(MeshState::Ready(loaded)) = self.library.state(&mesh.id) else { continue };
            let Some(first) = job.parts.iter().find(|p| p.mesh == mesh.id) else { continue };
            if let Some(text) = fault_text(&format!("{} {}", first.letter, first.name), loaded) {
                all.push(Finding {
                    level: Level::Watch,
                    kind: FindingKind::MeshFault,
                    plate: None,
                    copies: Vec::new(),
                    height_mm: None,
                    text,
                    remedy: None,
                });
            }
        }
        all.extend(self.missing_findings(job, None));
        all.sort_by_key(|f| f.level);
        self.caches.job_findings = all;
    }

    /// Takes in an answer for a cache. False when it was not one of these.
    pub(super) fn take_shape(&mut self, key: ShapeKey, shape: Arc<PartShape>) {
        let job = self.history.shared_job();
        let wanted: BTreeSet<ShapeKey> = job.parts.iter().filter_map(|p| Self::shape_key(&job, p)).collect();
        self.caches.shapes_by_key.insert(key, shape, |key| wanted.contains(key));
        self.caches.generation += 1;
    }

    pub(super) fn take_profile(&mut self, key: ProfileKey, profile: Result<Arc<Profile>, String>) {
        let job = self.history.shared_job();
        let wanted: BTreeSet<ProfileKey> = job.parts.iter().filter_map(|p| Self::profile_key(&job, p)).collect();
        self.caches.profiles.insert(key, profile, |key| wanted.contains(key));
        self.caches.generation += 1;
    }

    pub(super) fn take_footing(&mut self, key: FootingKey, made: Result<Arc<FootingProfile>, String>) {
        let job = self.history.shared_job();
        self.caches.footings.insert(key, made, |key| Self::wants_footing(&job, key));
        self.caches.generation += 1;
    }

    /// So many copies of a part end slowing, by plates of this part alone where the job has any; `None` while its profile is not
    /// there or no minimum layer time is set.
    pub fn copies_until_slowing_ends(&self, part: PartId) -> Option<CopiesUntil> {
        let job = self.job();
        let part = job.part(part)?;
        let (material, recipe) = (job.material(part.material)?, job.recipe(part.recipe)?);
        let profile = self.caches.profiles.get(&Self::profile_key(job, part)?)?.as_ref().ok()?.clone();
        let shape_key = Self::shape_key(job, part)?;
        let shape = self.caches.shapes_by_key.get(&shape_key)?;
        // A part of which no copy lies anywhere has no footing worked out yet: it is left out then.
        let key = (shape_key, recipe_key(recipe), part.footing.kind(), part.footing.width_mm().to_bits());
        let footing = self.caches.footings.get(&key).and_then(|f| f.as_ref().ok().cloned());
        let footing = footing.unwrap_or_else(|| Arc::new(FootingProfile::none()));
        let one = PlateCopy { copy: CopyId(0), profile, footing, placement: Placement::new(0.0, 0.0, 0.0) };
        let pitch_mm = plate::pitch_mm(shape, part.footing, &job.margins);
        let until = estimate::copies_until_slowing_ends(&one, pitch_mm, job.machines.first()?, material, recipe)?;
        let alone = |p: &&Plate| p.recipe == part.recipe && p.material == part.material && !p.copies.is_empty();
        let of_it = |c: &Copy| c.part == part.id && job.footing(c) == part.footing;
        let plates = job.plates.iter().filter(alone).filter(|p| p.copies.iter().all(of_it));
        Some(until.agreeing_with(plates.filter_map(|p| self.view(p.id)?.estimate.as_ref())))
    }

    /// What one copy of a part costs, alone and without its footing; `None` while it is still worked out.
    pub fn profile(&self, part: PartId) -> Option<&Profile> {
        let job = self.job();
        self.caches.profiles.get(&Self::profile_key(job, job.part(part)?)?)?.as_ref().ok().map(Arc::as_ref)
    }

    /// True while outlines or profiles are still computed.
    pub fn preparing(&self) -> usize {
        self.pending.len()
    }

    /// Forgets who was asked for what was cancelled.
    pub(super) fn forget(&mut self, ticket: TicketId) -> Option<Pending> {
        self.pending.remove(&ticket).map(|(_, pending)| pending)
    }

    /// Shadows of all copies on a plate as a share of its room, 0 to 1; `None` for an empty plate.
    pub fn density(&self, plate: PlateId) -> Option<f64> {
        Some(self.checker(plate)?.covered()).filter(|d| *d > 0.0)
    }

    /// The checker of a plate, made ready for questions.
    pub(super) fn checker(&self, plate: PlateId) -> Option<&Arc<Checker>> {
        self.caches.views.get(&plate).and_then(|v| v.checker.as_ref())
    }
}

/// A recipe's numbers without its id, name and time factor: what a profile depends on.
fn recipe_key(recipe: &Recipe) -> String {
    let nameless = Recipe { id: crate::document::RecipeId(0), name: String::new(), time_factor: 1.0, ..recipe.clone() };
    serde_json::to_string(&nameless).unwrap_or_default()
}

/// One finding about cooling, if layers are too quick.
fn cooling_finding(job: &Job, p: &Plate, estimated: &[&Copy], e: &PlateEstimate) -> Option<Finding> {
    let s = estimate::cooling_summary(e);
    let (worst, headroom) = (s.worst_layer?, s.least_headroom?);
    if s.short_layers == 0 {
        return None;
    }
    let layer = e.layers.get(worst)?;
    let growing: BTreeSet<&str> = layer
        .copies
        .iter()
        .filter_map(|&i| estimated.get(i as usize))
        .filter_map(|c| job.part(c.part))
        .map(|part| part.letter.as_str())
        .collect();
    let letters: Vec<&str> = growing.into_iter().collect();
    let copies: Vec<CopyId> = layer.copies.iter().filter_map(|&i| estimated.get(i as usize)).map(|c| c.id).collect();
    let first = e.layers.iter().position(|l| l.headroom.is_some_and(|h| h < 1.0)).unwrap_or(0);
    let above_mm = first.checked_sub(1).and_then(|below| e.layers.get(below)).map_or(0.0, |l| l.top_mm);
    let who = match copies.len() {
        0 => "nothing grows".to_owned(),
        1 => format!("only {} grows", job.copy_name(p.copies.iter().find(|c| c.id == copies[0])?)),
        n => format!("{n} copies of {} grow", letters.join(", ")),
    };
    let layers = if s.short_layers == 1 { "1 layer".into() } else { format!("{} layers", s.short_layers) };
    let mut text = format!(
        "too quick to cool above {above_mm:.1} mm: {layers}, worst {headroom:.2} of the time needed, at {:.1} mm, where {who}",
        layer.top_mm
    );
    let level = if s.unserved_layers > 0 {
        let _ = write!(text, "; slowing to the minimum speed still leaves {} unserved", words::time(s.unserved_s));
        Level::Watch
    } else {
        let _ = write!(text, "; slowing serves it and takes {} more", words::time(e.items.slowing_s));
        if e.items.waiting_s > 0.0 {
            let _ = write!(text, ", waiting between layers takes {} more", words::time(e.items.waiting_s));
        }
        Level::Note
    };
    Some(Finding {
        level,
        kind: FindingKind::Cooling,
        plate: Some(p.id),
        copies,
        height_mm: Some(layer.top_mm),
        text,
        remedy: None,
    })
}

/// Copies that should lie on one plate and lie on several.
fn parted_finding(job: &Job, part: &Part) -> Option<Finding> {
    let on = |p: &Plate| p.copies.iter().any(|c| c.part == part.id);
    let plates: Vec<usize> = job.plates.iter().enumerate().filter(|(_, p)| on(p)).map(|(n, _)| n + 1).collect();
    let (last, first) = plates.split_last()?;
    if !part.together || first.is_empty() {
        return None;
    }
    let first: Vec<String> = first.iter().map(ToString::to_string).collect();
    let text = format!(
        "{} {} is to stay together; its {} copies lie on plates {} and {last}",
        part.letter,
        part.name,
        job.placed(part.id),
        first.join(", ")
    );
    let (level, kind, copies) = (Level::Note, FindingKind::Parted, Vec::new());
    Some(Finding { level, kind, plate: None, copies, height_mm: None, text, remedy: None })
}

fn fault_text(name: &str, loaded: &super::Loaded) -> Option<String> {
    let faults = &loaded.report.faults;
    let first = faults.first()?;
    let more = match faults.len() {
        1 => String::new(),
        2 => "; one more kind of fault".into(),
        n => format!("; {} more kinds of fault", n - 1),
    };
    Some(format!("{name}: {}{more}", first.text.trim_end_matches('.')))
}
