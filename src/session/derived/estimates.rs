//! The estimate of a plate.

use std::{
    collections::{BTreeMap, btree_map::Entry},
    sync::Arc,
};

use crate::{
    document::{Copy, Job, PartId, Plate},
    estimate::{self, FootingProfile, PlateCopy, PlateEstimate, PlateInput, Profile, Tour},
    session::{
        Session,
        derived::keys::{profile_key, shape_key},
        findings::beyond_beds::beyond_beds,
    },
};

/// What a copy and its footing cost.
type Costs = (Arc<Profile>, Arc<FootingProfile>);

impl Session {
    pub(in crate::session) fn estimate(
        &mut self,
        job: &Job,
        p: &Plate,
        tour: Tour<'_>,
    ) -> (Option<PlateEstimate>, Option<String>) {
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
            if let Entry::Vacant(e) = by_part.entry(key) {
                let Some(part) = job.part(c.part) else { continue };
                if self.library.loaded(&part.mesh).is_none() {
                    return (None, None);
                }
                let Some(found) = profile_key(job, part).and_then(|k| self.caches.profiles.get(&k)) else {
                    let shape = shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k));
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
            Ok(e) if job.twin(p).is_some() => (Some(e.twice()), None),
            Ok(e) => (Some(e), None),
            Err(why) => (None, Some(why.to_string())),
        }
    }

    /// Copies of a plate in the order in which its estimate counts them: those whose mesh is there.
    pub fn estimated_copies<'a>(&self, plate: &'a Plate) -> Vec<&'a Copy> {
        let job = self.job();
        plate
            .copies
            .iter()
            .filter(|c| job.part(c.part).is_some_and(|p| self.library.loaded(&p.mesh).is_some()))
            .collect()
    }
}
