//! Plates for which no attended time is long enough.

use super::note::{length, machine, note, plates};
use crate::{
    batch::sequence::NotRun,
    document::Job,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Plates that never start, and those whose parts never come off.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let mut all = Vec::new();
    // Without any hours that alone is said.
    if t.calendar.attended().is_empty() || job.shifts.hours.people == 0 {
        return all;
    }
    let longest_s = t.calendar.attended().iter().map(|w| w.length_s()).max().unwrap_or(0);
    let mut never = Vec::new();
    for (run, why) in &t.plan.not_run {
        let Some(about) = t.about.get(*run) else { continue };
        match why {
            NotRun::NoMachine => {}
            NotRun::NoTime => never.push(about.number),
        }
    }
    if !never.is_empty() {
        let work = &t.floor.runs.work;
        let most_s = work.preparing_s + work.material_s.max(work.colour_s);
        let why = if most_s > longest_s {
            format!(
                "Preparing takes up to {}, and the longest stretch of hours is {}: lengthen the hours, or shorten the changeover.",
                length(most_s),
                length(longest_s)
            )
        } else {
            format!(
                "No hours are left within {} days: the machine is down, or a plate before it stays on. Shorten the downtime, or move them to another machine.",
                t.calendar.days()
            )
        };
        let never = plates(&never);
        let text = format!("{}{} cannot be started. {why}", never[..1].to_uppercase(), &never[1..]);
        all.push(note(Level::Stop, FindingKind::NoTime, None, text));
    }
    for timed in t.plan.timed.iter().filter(|x| x.removal.is_none()) {
        let Some(about) = t.about.get(timed.run) else { continue };
        let text = format!(
            "The parts of plate {} stay on {}: taking them off takes {}, and the longest stretch of hours is {}. Lengthen the hours, or shorten the part removal.",
            about.number,
            machine(job, t.machine_of(timed.run)),
            length(t.floor.runs.work.removal_s),
            length(longest_s),
        );
        all.push(note(Level::Stop, FindingKind::NoTime, Some(about.plate), text));
    }
    all
}
