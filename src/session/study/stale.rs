//! Whether a study is still about the job as it is.

use std::sync::Arc;

use crate::{document::Job, session::Session};

impl Session {
    /// True where the latest study of footings was made with other numbers than the job has now.
    pub fn footings_are_stale(&self) -> bool {
        let Some(run) = self.footings_studied() else { return false };
        let (then, now) = (&run.study.job, self.shared_job());
        !Arc::ptr_eq(then, &now) && !alike(then, &now, &[run.study.part])
    }

    /// True where the latest study of how many copies was made with other numbers than the job has now.
    pub fn copies_study_is_stale(&self) -> bool {
        let Some(run) = self.copies_studied() else { return false };
        let (then, now) = (&run.study.job, self.shared_job());
        let its = |j: &Job| j.part(run.study.part).map(|p| (p.footing, p.wanted));
        let same = || its(then) == its(&now) && then.shifts == now.shifts && alike(then, &now, &[run.study.part]);
        !(Arc::ptr_eq(then, &now) || same())
    }

    /// True where the plate or its numbers have changed since it was compared.
    pub fn plate_study_is_stale(&self) -> bool {
        let Some(run) = self.plate_studied() else { return false };
        let (then, now) = (&run.study.job, self.shared_job());
        let parts: Vec<_> = run.study.parts.keys().copied().collect();
        let plate = run.study.plate;
        let same = || then.plate(plate) == now.plate(plate) && alike(then, &now, &parts);
        !(Arc::ptr_eq(then, &now) || same())
    }
}

/// True where two jobs give these parts the same numbers. How many are wanted, names and the present footing count for nothing but the
/// plate's own copies.
fn alike(a: &Job, b: &Job, parts: &[crate::document::PartId]) -> bool {
    let part = |id| {
        let of = |j: &Job| {
            let p = j.part(id)?;
            Some((
                p.mesh.clone(),
                p.body,
                p.pose,
                p.material,
                p.colour.clone(),
                p.recipe,
                p.turns,
                j.mesh(&p.mesh)?.unit,
            ))
        };
        of(a) == of(b)
    };
    parts.iter().all(|id| part(*id))
        && a.machines == b.machines
        && a.materials == b.materials
        && a.recipes == b.recipes
        && a.margins == b.margins
        && a.assumptions == b.assumptions
}
