//! Sections of supports, for the height cursor.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::{Job, PartId},
    estimate,
    geom::Region,
    session::{
        Session,
        derived::{
            keys::{ProfileKey, linear, profile_key},
            pending::Pending,
        },
        findings::beyond_beds::beyond_beds,
    },
    work::Request,
};

impl Session {
    /// While the height cursor is out, asks for the supports of what lies on the plate shown.
    pub(super) fn refresh_supports(&mut self, job: &Job) {
        let Some(plate) = self.plate_id().and_then(|id| job.plate(id)).filter(|_| self.height_mm().is_some()) else {
            return;
        };
        for part in job.parts.iter().filter(|p| plate.copies.iter().any(|c| c.part == p.id)) {
            let Some(recipe) = job.recipe(part.recipe).filter(|r| r.support.is_some()) else { continue };
            let (Some(key), Some(mesh)) = (profile_key(job, part), self.solid(part)) else { continue };
            let beyond = self.caches.shapes_by_key.get(&key.0).is_some_and(|s| beyond_beds(job, s).is_some());
            if !beyond && !self.caches.supports.contains_key(&key) {
                let linear = linear(job, part).unwrap_or_default();
                self.ask_once(Pending::Supports(key), || Request::Supports {
                    mesh,
                    linear,
                    recipe: Box::new(estimate::profile_recipe(recipe)),
                });
            }
        }
        let wanted: BTreeSet<ProfileKey> = job.parts.iter().filter_map(|p| profile_key(job, p)).collect();
        self.caches.supports.retain(|key, _| wanted.contains(key));
    }

    /// The section of a part's supports in every layer, in its own coordinates; `None` without supports, or while they are not
    /// known.
    pub fn supports(&self, part: PartId) -> Option<&[Arc<Region>]> {
        let job = self.job();
        self.caches.supports.get(&profile_key(job, job.part(part)?)?).map(|c| c.as_slice())
    }
}
