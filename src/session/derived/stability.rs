//! How firmly copies stand.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::{Copy, CopyId, Footing, Job, PartId, Plate},
    session::{
        Session,
        derived::{
            footing_cost::FootingCost,
            keys::{MassKey, StandingKey, linear, mass_key, shape_key},
            pending::Pending,
            standing::{FallOf, PartStanding},
        },
        findings::beyond_beds::beyond_beds,
    },
    stability::{Conditions, Standing, fall},
    work::{Judged, Request, StandingMass},
};

/// Contacts with more corners than this are judged in the background: a footing suggested for more takes longer than a frame.
const AT_ONCE: usize = 100;
/// Pairs of copies up to which a finding says what a fall would strike: a drag asks with every frame.
const MOST_PAIRS: usize = 600;

impl Session {
    /// Asks for the mass over height of every part whose outlines are known.
    pub(super) fn refresh_masses(&mut self, job: &Job) {
        for part in &job.parts {
            let Some(key) = mass_key(job, part).filter(|k| !self.caches.masses.contains_key(k)) else { continue };
            let Some(shape) = self.caches.shapes_by_key.get(&key.0) else { continue };
            let (Some(recipe), Some(mesh)) = (job.recipe(part.recipe), self.solid(part)) else { continue };
            if beyond_beds(job, shape).is_none() {
                let linear = linear(job, part).unwrap_or_default();
                self.ask_once(Pending::Mass(key), || Request::Mass { mesh, linear, recipe: Box::new(recipe.clone()) });
            }
        }
    }

    pub(in crate::session) fn take_mass(&mut self, key: MassKey, mass: Option<Arc<StandingMass>>) {
        let job = self.history.shared_job();
        let wanted = || job.parts.iter().filter_map(|p| mass_key(&job, p)).collect();
        self.caches.masses.insert(key, mass, wanted);
        self.caches.generation += 1;
    }

    /// How firmly a plate's copies stand, in the order of their first copy.
    pub(super) fn standing(&mut self, job: &Job, p: &Plate) -> Vec<PartStanding> {
        let mut all: Vec<PartStanding> = Vec::new();
        let mut unknown: Vec<(PartId, Footing)> = Vec::new();
        for c in &p.copies {
            let footing = job.footing(c);
            if let Some(known) = all.iter_mut().find(|s| s.part == c.part && s.footing == footing) {
                known.copies.push(c.id);
            } else if !unknown.contains(&(c.part, footing)) {
                match self.judged(job, p, c.part, footing) {
                    Some(judged) => {
                        let cost = self.suggestion_cost(job, p, c.part, footing, &judged);
                        all.push(PartStanding { part: c.part, footing, copies: vec![c.id], judged, cost });
                    }
                    None => unknown.push((c.part, footing)),
                }
            }
        }
        all
    }

    /// What the footing suggested costs beside the present one.
    fn suggestion_cost(
        &mut self,
        job: &Job,
        p: &Plate,
        part: PartId,
        footing: Footing,
        judged: &Judged,
    ) -> Option<FootingCost> {
        let suggested = judged.suggestion.footing;
        let part = job.part(part).filter(|_| suggested != footing)?;
        let shape = self.caches.shapes_by_key.get(&shape_key(job, part)?)?.clone();
        self.footing_cost(job, p, part, &shape, [footing, suggested])
    }

    /// A part with a footing, judged under a plate's material, recipe and machine; `None` while its mass is worked out, or it is
    /// judged in the background.
    pub(in crate::session) fn judged(
        &mut self,
        job: &Job,
        p: &Plate,
        part: PartId,
        footing: Footing,
    ) -> Option<Arc<Judged>> {
        let (material, recipe) = (job.material(p.material)?, job.recipe(p.recipe)?);
        let conditions = Conditions::of(job, material, recipe, job.machine(p.machine)?);
        let key = mass_key(job, job.part(part)?)?;
        let mass = self.caches.masses.get(&key)?.clone()?;
        let shape = self.caches.shapes_by_key.get(&key.0)?.clone();
        let key = (key, footing.kind(), footing.width_mm().to_bits(), format!("{conditions:?}"));
        if let Some(known) = self.caches.judged.get(&key) {
            return Some(known.clone());
        }
        let supported = recipe.support.is_some();
        if shape.contact.region().vertex_count() > AT_ONCE {
            let conditions = Box::new(conditions);
            self.ask_once(Pending::Judged(key), || Request::Judge { mass, shape, footing, supported, conditions });
            return None;
        }
        let judged = Arc::new(Judged::new(mass, &shape, footing, supported, conditions));
        self.caches.judged.insert(key, judged.clone(), BTreeSet::new);
        Some(judged)
    }

    pub(in crate::session) fn take_judged(&mut self, key: StandingKey, judged: Arc<Judged>) {
        self.caches.judged.insert(key, judged, BTreeSet::new);
        self.caches.generation += 1;
    }

    /// What a copy would strike if it fell at its riskiest height; `None` while its margin is not known.
    pub fn fall_of(&self, copy: CopyId) -> Option<FallOf> {
        let job = self.job();
        let (plate, _) = job.copy(copy)?;
        self.fall_among(job, plate, &self.view(plate.id)?.standing, copy)
    }

    /// The height at which a copy is likeliest to fall, mm; `None` while its margin is not known.
    pub(in crate::session) fn fall_height_mm(&self, copy: CopyId) -> Option<f64> {
        let (plate, it) = self.job().copy(copy)?;
        self.falls_at_mm(&self.view(plate.id)?.standing, it)
    }

    /// How high a copy stands, its raft included, mm.
    pub(in crate::session) fn top_mm(&self, copy: CopyId) -> Option<f64> {
        let (plate, it) = self.job().copy(copy)?;
        Some(self.shapes().get(&it.part)?.height_mm + lift_mm(&self.view(plate.id)?.standing, copy))
    }

    fn falls_at_mm(&self, all: &[PartStanding], it: &Copy) -> Option<f64> {
        let standing = all.iter().find(|s| s.copies.contains(&it.id))?;
        // Its top layer may end a little above its top: copies as high as it would count as finished then.
        let top_mm = self.shapes().get(&it.part)?.height_mm + standing.judged.stance.lift_mm;
        Some(standing.judged.judgement.least?.height_mm.min(top_mm))
    }

    fn fall_among(&self, job: &Job, plate: &Plate, all: &[PartStanding], copy: CopyId) -> Option<FallOf> {
        let it = plate.copies.iter().find(|c| c.id == copy)?;
        let height_mm = self.falls_at_mm(all, it)?;
        let contact = self.shapes().get(&it.part)?.contact.region().placed(it.placement());
        let others: Vec<_> = plate
            .copies
            .iter()
            .filter(|c| c.id != copy)
            .filter_map(|c| Some((c, self.shapes().get(&c.part)?)))
            .map(|(c, shape)| (c, shape.shadow.region().placed(c.placement()), shape.height_mm + lift_mm(all, c.id)))
            .collect();
        let seen: Vec<Standing<'_>> =
            others.iter().map(|(_, shadow, height_mm)| Standing { shadow, height_mm: *height_mm }).collect();
        let fall = fall(&contact, height_mm, &seen);
        let names =
            |list: &[usize]| list.iter().filter_map(|&i| others.get(i)).map(|(c, ..)| job.copy_name(c)).collect();
        Some(FallOf { strikes: names(&fall.strikes), finished: names(&fall.lower), reach: fall.reach })
    }

    /// Names of the copies that a fall of any of these would strike, in the order of the plate; none where they do not tip over. `None`
    /// where there are too many copies to look at with every drag.
    pub(in crate::session) fn struck_by(
        &self,
        job: &Job,
        plate: &Plate,
        all: &[PartStanding],
        s: &PartStanding,
    ) -> Option<Vec<String>> {
        if s.judged.judgement.tips_above_mm.is_none() {
            return Some(Vec::new());
        }
        if s.copies.len() * plate.copies.len() > MOST_PAIRS {
            return None;
        }
        let struck: BTreeSet<String> =
            s.copies.iter().filter_map(|id| self.fall_among(job, plate, all, *id)).flat_map(|f| f.strikes).collect();
        Some(plate.copies.iter().map(|c| job.copy_name(c)).filter(|name| struck.contains(name)).collect())
    }
}

/// How far a copy's raft lifts it, mm.
fn lift_mm(all: &[PartStanding], copy: CopyId) -> f64 {
    all.iter().find(|s| s.copies.contains(&copy)).map_or(0.0, |s| s.judged.stance.lift_mm)
}
