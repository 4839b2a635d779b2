//! Dealing out under way.

use std::sync::Arc;

use jiff::Timestamp;

use super::DealRecord;
use crate::{document::Job, studies::DealStanding, work::Ticket};

/// Dealing out under way.
#[derive(Debug)]
pub struct Dealing {
    pub(super) ticket: Ticket,
    /// "Deal out".
    pub label: String,
    /// How far, 0 to 1.
    pub done: f64,
    /// What it does.
    pub what: String,
    /// The best so far, once there is one.
    pub standing: Option<DealStanding>,
    /// When the plan starts.
    pub start: Timestamp,
    /// The job as it was when it began.
    pub(super) begun_with: Arc<Job>,
}

/// The dealing under way or waiting, and the latest one.
#[derive(Debug, Default)]
pub(in crate::session) struct Deals {
    pub(super) running: Option<Dealing>,
    /// Begins once outlines and layers are there.
    pub(super) waiting: Option<String>,
    /// With the job for which it holds.
    pub(super) record: Option<(Arc<Job>, DealRecord)>,
}
