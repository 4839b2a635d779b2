//! Plates that should have ended, and of which nobody said so.

use super::note::{length, machine, note};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level, Remedy},
    session::shifts::Timeline,
};

/// Plates that run longer than 95 of 100 would.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let of = |timed: &crate::batch::sequence::Timed| {
        let about = t.about.get(timed.run).filter(|a| a.is_running)?;
        let latest_s = t.end_range(timed).to_s;
        if latest_s >= t.now_s {
            return None;
        }
        let text = format!(
            "Plate {} on {} should have ended {}, {} ago. Say whether it ended or failed: until then its machine counts as free from now.",
            about.number,
            machine(job, t.machine_of(timed.run)),
            t.calendar.words(timed.print.to_s),
            length(t.now_s - timed.print.to_s),
        );
        let finding = note(Level::Note, FindingKind::Overdue, Some(about.plate), text);
        let plate = about.plate;
        Some(Finding { remedy: Some(Remedy::MarkEnded { plate }), more: vec![Remedy::MarkFailed { plate }], ..finding })
    };
    t.plan.timed.iter().filter_map(of).collect()
}
