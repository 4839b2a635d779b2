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
        // Clock times leave seconds out: so that they add up, lengths do too.
        let minute = |s: i64| s.div_euclid(60) * 60;
        let minutes = |from: i64, to: i64| length(minute(to) - minute(from));
        let text = format!(
            "Plate {} on {} ends {}, {} after the last person has left. Somebody is there again {}: the machine stands for {}.",
            about.number,
            machine(job, t.machine_of(timed.run)),
            clock(end_s),
            minutes(left_s, end_s),
            clock(next.from_s),
            minutes(end_s, next.from_s),
        );
        let remedy = (!about.is_running).then_some(Remedy::ImproveSequence);
        Some(Finding { remedy, ..note(Level::Note, FindingKind::AfterHours, Some(about.plate), text) })
    };
    t.plan.timed.iter().filter_map(of).collect()
}
