//! When the plan starts.

use jiff::Timestamp;

use crate::{batch::zone_of, document::Job, session::Session};

/// When a plan starts: as the job says, and never before now.
pub(in crate::session) fn start_of(job: &Job, now: Timestamp) -> Timestamp {
    // Once a plate runs the work has begun, whatever was planned.
    if job.plates.iter().any(|p| p.run.is_running()) {
        return now;
    }
    let local = job.shifts.start.and_then(|s| s.to_zoned_datetime(zone_of(&job.shifts.hours)).ok());
    local.map_or(now, |z| z.timestamp().max(now))
}

impl Session {
    /// Plans from a time, whatever the job says, for who was given another start; the job stays as it is.
    pub fn plan_from(&mut self, start: Timestamp) {
        self.plan_start = Some(start);
        // A start that is past is planned as if it were then.
        if start < self.now() {
            self.now_set = Some(start);
        }
        self.refresh();
    }

    /// When the plan starts.
    pub(in crate::session) fn starts(&self, job: &Job) -> Timestamp {
        self.plan_start.unwrap_or_else(|| start_of(job, self.now()))
    }
}
