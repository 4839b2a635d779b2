//! What is noticed of the hours and the plan: one file a finding.

mod after_hours;
mod bed;
mod downtime;
mod due_dates;
mod hours;
mod late;
mod no_spool;
mod no_time;
mod note;
mod overdue;
mod spool;
mod unattended;

pub(in crate::session) use unattended::hours as unattended_hours;

use crate::{
    document::{Job, Shifts},
    finding::Finding,
    session::shifts::Timeline,
};

/// All of them, the gravest first.
pub(in crate::session) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let mut all = hours::findings(job, t);
    all.extend(due_dates::findings(job, t));
    all.extend(no_time::findings(job, t));
    all.extend(late::findings(job, t));
    all.extend(overdue::findings(job, t));
    all.extend(downtime::findings(job, t));
    all.extend(no_spool::findings(job, t));
    all.extend(spool::findings(job, t));
    all.extend(unattended::finding(t));
    all.extend(after_hours::findings(job, t));
    all.extend(bed::finding(job, t));
    all.sort_by_key(|f| f.level);
    all
}

/// Has anybody said anything about when plates run? Before that nothing is said of it among the other findings.
pub(in crate::session) fn are_asked_for(job: &Job) -> bool {
    job.shifts != Shifts::default()
        || job.plates.iter().any(|p| !p.run.is_plain())
        || job.parts.iter().any(|p| p.due.is_some())
        || job.machines.iter().any(|m| !m.downtimes.is_empty())
}
