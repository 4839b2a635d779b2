//! Copies that Pack found no place for.

use std::sync::Arc;

use crate::{document::Job, finding::Finding, session::search::concern::Concern};

/// Copies that do not fit the plates they lie on, as Pack found them, and the job for which it did.
#[derive(Debug, Clone)]
pub(in crate::session) struct Overfull {
    pub(in crate::session) finding: Finding,
    pub(in crate::session) concern: Concern,
    pub(in crate::session) of: Arc<Job>,
}
