//! What a footing costs.

use std::sync::Arc;

use crate::{
    document::{Footing, Job, Part, Recipe},
    estimate::FootingProfile,
    session::{
        Session,
        derived::{
            keys::{FootingKey, recipe_key, shape_key, wanted_footings},
            pending::Pending,
        },
    },
    work::Request,
};

impl Session {
    /// What a footing costs; `None` while it is worked out. A brim round a contact of thousands of corners, or a raft as wide as a bed,
    /// takes longer than a frame, so both are worked out where parts are; a bare one is only a hull.
    pub(super) fn footing_profile(
        &mut self,
        job: &Job,
        part: &Part,
        footing: Footing,
        recipe: &Recipe,
    ) -> Result<Option<Arc<FootingProfile>>, String> {
        let Some(key) = shape_key(job, part) else { return Ok(None) };
        // Not the old outline that copies keep while the part is turned over.
        let Some(shape) = self.caches.shapes_by_key.get(&key).cloned() else { return Ok(None) };
        let key = (key, recipe_key(recipe), footing.kind(), footing.width_mm().to_bits());
        if let Some(found) = self.caches.footings.get(&key) {
            return found.clone().map(Some);
        }
        if footing == Footing::Bare {
            let made = FootingProfile::compute(shape.contact.region(), footing, recipe);
            let made = made.map(Arc::new).map_err(|e| e.to_string());
            self.caches.footings.insert(key, made.clone(), || wanted_footings(job));
            return made.map(Some);
        }
        let recipe = Box::new(recipe.clone());
        self.ask_once(Pending::Footing(key), || Request::Footing { shape, footing, recipe });
        Ok(None)
    }

    pub(in crate::session) fn take_footing(&mut self, key: FootingKey, made: Result<Arc<FootingProfile>, String>) {
        let job = self.history.shared_job();
        self.caches.footings.insert(key, made, || wanted_footings(&job));
        self.caches.generation += 1;
    }
}
