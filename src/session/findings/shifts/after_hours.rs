//! Plates that end after the last person has left.

use super::note::{length, machine, note};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level, Remedy},
    session::shifts::Timeline,
};

/// What, when, and how long until somebody is there.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let attended = t.calendar.attended();
    let of = |timed: &crate::batch::sequence::Timed| {
        let (end_s, about) = (timed.print.to_s, t.about.get(timed.run)?);
        let next = t.calendar.window_from(end_s).filter(|w| w.from_s > end_s)?;
        let left_s = attended.iter().rev().find(|w| w.to_s <= end_s).map(|w| w.to_s)?;
        let clock = |s| t.calendar.words(s);
        let text = format!(
            "Plate {} on {} ends {}, {} after the last person has left. Somebody is there again {}: the machine stands for {}.",
            about.number,
            machine(job, t.machine_of(timed.run)),
            clock(end_s),
            length(end_s - left_s),
            clock(next.from_s),
            length(next.from_s - end_s),
        );
        let remedy = (!about.is_running).then_some(Remedy::ImproveSequence);
        Some(Finding { remedy, ..note(Level::Note, FindingKind::AfterHours, Some(about.plate), text) })
    };
    t.plan.timed.iter().filter_map(of).collect()
}
