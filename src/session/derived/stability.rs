//! How firmly copies stand.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::{CopyId, Footing, Job, PartId, Plate},
    session::{
        Session,
        derived::{
            keys::{MassKey, linear, mass_key},
            pending::Pending,
            standing::{FallOf, Judged, PartStanding},
        },
        findings::beyond_beds::beyond_beds,
    },
    stability::{Conditions, SideView, Stance, Standing, fall, judge, looks, suggest_footing, telling_side_rad},
    work::{Request, StandingMass},
};

/// The margin that a suggested footing reaches: the safety factor is in the margin already.
const WANTED: f64 = 1.0;

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
                    Some(judged) => all.push(PartStanding { part: c.part, footing, copies: vec![c.id], judged }),
                    None => unknown.push((c.part, footing)),
                }
            }
        }
        all
    }

    /// A part with a footing, judged under a plate's material, recipe and machine; `None` while its mass is worked out.
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
        let contact = shape.contact.region();
        let supports = Some(&mass.supports).filter(|s| !s.is_empty());
        let stance = Stance::new(contact, supports, footing, &conditions);
        let judgement = judge(&mass.mass, &stance, &conditions);
        let turn = telling_side_rad(&mass.mass, &stance);
        let side = SideView::new(&mass.sections, &mass.mass, contact, footing, &judgement, &conditions, turn);
        let judged = Arc::new(Judged {
            judgement,
            side,
            looks: looks(&mass.mass, contact, recipe.support.is_some(), &conditions),
            suggestion: suggest_footing(&mass.mass, contact, supports, &conditions, WANTED),
            stance,
            conditions,
            mass,
        });
        self.caches.judged.insert(key, judged.clone(), BTreeSet::new);
        Some(judged)
    }

    /// What a copy would strike if it fell at its riskiest height; `None` while its margin is not known.
    pub fn fall_of(&self, copy: CopyId) -> Option<FallOf> {
        let job = self.job();
        let (plate, it) = job.copy(copy)?;
        let standing = self.view(plate.id)?.standing.iter().find(|s| s.copies.contains(&copy))?;
        let shape = self.shapes().get(&it.part)?;
        // Its top layer may end a little above its top: copies as high as it would count as finished then.
        let top_mm = shape.height_mm + standing.judged.stance.lift_mm;
        let height_mm = standing.judged.judgement.least?.height_mm.min(top_mm);
        let contact = shape.contact.region().placed(it.placement());
        let all = &self.view(plate.id)?.standing;
        let lift_mm = |id| all.iter().find(|s| s.copies.contains(&id)).map_or(0.0, |s| s.judged.stance.lift_mm);
        let others: Vec<_> = plate
            .copies
            .iter()
            .filter(|c| c.id != copy)
            .filter_map(|c| Some((c, self.shapes().get(&c.part)?)))
            .map(|(c, shape)| (c, shape.shadow.region().placed(c.placement()), shape.height_mm + lift_mm(c.id)))
            .collect();
        let seen: Vec<Standing<'_>> =
            others.iter().map(|(_, shadow, height_mm)| Standing { shadow, height_mm: *height_mm }).collect();
        let fall = fall(&contact, height_mm, &seen);
        let names =
            |list: &[usize]| list.iter().filter_map(|&i| others.get(i)).map(|(c, ..)| job.copy_name(c)).collect();
        Some(FallOf { strikes: names(&fall.strikes), finished: names(&fall.lower), reach: fall.reach })
    }
}
