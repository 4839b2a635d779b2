//! What dealing out starts from.

use std::{collections::BTreeMap, sync::Arc, time::Duration};

use jiff::Timestamp;

use crate::{
    document::{Job, PartId},
    estimate::Profile,
    plate::PartShape,
};

/// A part as dealing out knows it.
#[derive(Debug, Clone)]
pub struct DealPart {
    /// The part from above.
    pub shape: Arc<PartShape>,
    /// What one copy costs in its recipe.
    pub profile: Arc<Profile>,
}

/// What dealing out starts from.
#[derive(Debug, Clone)]
pub struct DealTask {
    /// The job.
    pub job: Arc<Job>,
    /// What is known of its parts.
    pub parts: BTreeMap<PartId, DealPart>,
    /// Why of other parts nothing is known, in words.
    pub unknown: BTreeMap<PartId, String>,
    /// When the plan starts.
    pub start: Timestamp,
    /// Seed of the search.
    pub seed: u64,
    /// Rounds of the search: the same seed and rounds give the same plates. `None`: as long as the time allows.
    pub rounds: Option<u64>,
    /// Time allowed; `None`: no limit.
    pub time: Option<Duration>,
}
