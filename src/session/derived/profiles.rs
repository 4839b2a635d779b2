//! What one copy of a part costs.

use std::sync::Arc;

use crate::{
    document::{Copy, CopyId, PartId, Plate},
    estimate::{self, CopiesUntil, FootingProfile, PlateCopy, Profile},
    geom::Placement,
    plate,
    session::{
        Session,
        derived::keys::{ProfileKey, profile_key, recipe_key, shape_key},
    },
};

impl Session {
    pub(in crate::session) fn take_profile(&mut self, key: ProfileKey, profile: Result<Arc<Profile>, String>) {
        let job = self.history.shared_job();
        let wanted = || job.parts.iter().filter_map(|p| profile_key(&job, p)).collect();
        self.caches.profiles.insert(key, profile, wanted);
        self.caches.generation += 1;
    }

    /// What one copy of a part costs, alone and without its footing; `None` while it is still worked out.
    pub fn profile(&self, part: PartId) -> Option<&Profile> {
        let job = self.job();
        self.caches.profiles.get(&profile_key(job, job.part(part)?)?)?.as_ref().ok().map(Arc::as_ref)
    }

    /// So many copies of a part end slowing, by plates of this part alone where the job has any; `None` while its profile is not
    /// there or no minimum layer time is set.
    pub fn copies_until_slowing_ends(&self, part: PartId) -> Option<CopiesUntil> {
        let job = self.job();
        let part = job.part(part)?;
        let (material, recipe) = (job.material(part.material)?, job.recipe(part.recipe)?);
        let profile = self.caches.profiles.get(&profile_key(job, part)?)?.as_ref().ok()?.clone();
        let shape_key = shape_key(job, part)?;
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
}
