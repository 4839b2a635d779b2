//! What dealing out starts from, gathered.

use std::{collections::BTreeMap, sync::Arc};

use crate::{
    document::{Job, Part, PartId},
    session::{
        Session,
        derived::keys::{profile_key, shape_key},
        findings::beyond_beds::beyond_beds,
        shifts::start_of,
    },
    studies::{DealPart, DealTask},
};

/// A task, or the word that something of it is still worked out.
pub(super) enum Gathered {
    Task(Box<DealTask>),
    Later,
}

/// What is known of a part.
enum Known {
    Here(DealPart),
    Never(String),
    Later,
}

impl Session {
    pub(super) fn gather_deal(&self) -> Gathered {
        let job = Arc::new(self.job_to_arrange());
        let start = start_of(&job, self.now());
        let (mut parts, mut unknown) = (BTreeMap::<PartId, DealPart>::new(), BTreeMap::new());
        for part in job.parts.iter().filter(|p| p.wanted > 0 || job.placed(p.id) > 0) {
            match self.known(&job, part) {
                Known::Here(known) => drop(parts.insert(part.id, known)),
                Known::Never(why) => drop(unknown.insert(part.id, why)),
                Known::Later => return Gathered::Later,
            }
        }
        let limits = self.limits();
        let (seed, rounds, time) = (limits.seed, limits.rounds, self.search_time(limits.time));
        Gathered::Task(Box::new(DealTask { job, parts, unknown, start, seed, rounds, time }))
    }

    fn known(&self, job: &Job, part: &Part) -> Known {
        if self.library.loaded(&part.mesh).is_none() {
            let reading = self.preparing() > 0;
            return if reading { Known::Later } else { Known::Never("its mesh is missing: locate it first".into()) };
        }
        let later = |why: &str| if self.preparing() > 0 { Known::Later } else { Known::Never(why.into()) };
        let Some(shape) = shape_key(job, part).and_then(|k| self.caches.shapes_by_key.get(&k)) else {
            return later("its outline is missing");
        };
        if let Some(beyond) = beyond_beds(job, shape) {
            return Known::Never(beyond.why(part));
        }
        match profile_key(job, part).and_then(|k| self.caches.profiles.get(&k)) {
            Some(Ok(profile)) => Known::Here(DealPart { shape: shape.clone(), profile: profile.clone() }),
            Some(Err(why)) => Known::Never(format!("it cannot be timed: {why}")),
            None => later("its layers are missing"),
        }
    }
}
