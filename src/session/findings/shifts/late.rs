//! Parts that are not on the table when they are due.

use super::note::{length, machine, note};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level, Remedy},
    session::shifts::Timeline,
};

/// By how much, plate by plate.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let of = |run: usize| {
        let (about, late_s, due_s) = (t.about.get(run)?, t.late_s(run)?, t.due_s(run)?);
        let ready_s = t.timed(run)?.ready_s()?;
        let due: Vec<&str> = job
            .plate(about.plate)?
            .copies
            .iter()
            .filter_map(|c| job.part(c.part))
            .filter(|p| p.due.as_deref().and_then(|d| t.calendar.due_s(d)) == Some(due_s))
            .map(|p| p.letter.as_str())
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect();
        let text = format!(
            "Plate {} on {} is late by {}: its parts are on the table {}, and {} due {}.",
            about.number,
            machine(job, t.machine_of(run)),
            length(late_s),
            t.calendar.words(ready_s),
            if due.len() == 1 { format!("{} is", due[0]) } else { format!("{} are", due.join(", ")) },
            t.calendar.words(due_s),
        );
        let remedy = Some(Remedy::ImproveSequence);
        Some(Finding { remedy, ..note(Level::Watch, FindingKind::Late, Some(about.plate), text) })
    };
    (0..t.about.len()).filter_map(of).collect()
}
