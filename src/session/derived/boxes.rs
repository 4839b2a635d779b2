//! Boxes round copies on the bed.

use crate::{document::Copy, geom::Bounds, session::Session};

impl Session {
    /// Box of a copy's shadow and footing on the bed.
    pub fn copy_bounds(&self, copy: &Copy) -> Option<Bounds> {
        let job = self.job();
        let shape = self.shapes().get(&copy.part)?;
        let form = self.prepared().get(shape, job.footing(copy), &job.margins);
        Some(form.bounds_at(copy.placement()))
    }

    pub(in crate::session) fn shadow_bounds(&self, copy: &Copy) -> Option<Bounds> {
        Some(self.shapes().get(&copy.part)?.shadow.region().placed(copy.placement()).bounds())
    }
}
