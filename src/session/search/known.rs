//! A bound, for as long as it holds.

use std::sync::Arc;

use crate::{
    document::Job,
    packing::Bound,
    session::search::{concern::Concern, fingerprint::Fingerprint},
};

/// A bound, and the job for which it was found.
#[derive(Debug, Clone)]
pub(in crate::session) struct Known {
    pub(super) bound: Bound,
    concern: Concern,
    of: Fingerprint,
    job: Arc<Job>,
}

impl Known {
    pub(in crate::session) fn now(job: &Arc<Job>, concern: Concern, bound: Bound) -> Self {
        let of = Fingerprint::new(job, &concern);
        Self { bound, concern, of, job: Arc::clone(job) }
    }
    /// Is what the bound is about still as it was?
    pub(super) fn holds(&self, job: &Arc<Job>) -> bool {
        Arc::ptr_eq(job, &self.job) || Fingerprint::new(job, &self.concern) == self.of
    }
}
