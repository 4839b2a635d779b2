//! Parts that are not on the table when they are due.

use super::note::{due_words, length, machine, note, time_words};
use crate::{
    document::{Job, Part},
    finding::{Finding, FindingKind, Level, Remedy},
    session::shifts::Timeline,
};

/// By how much, plate by plate.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let of = |run: usize| {
        let (about, late_s, due_s) = (t.about.get(run)?, t.late_s(run)?, t.due_s(run)?);
        let ready_s = t.timed(run)?.ready_s()?;
        let due: Vec<&Part> = job
            .parts
            .iter()
            .filter(|p| job.plate(about.plate).is_some_and(|plate| plate.copies.iter().any(|c| c.part == p.id)))
            .filter(|p| p.due.as_deref().and_then(|d| t.calendar.due_s(d)) == Some(due_s))
            .collect();
        let letters: Vec<&str> = due.iter().map(|p| p.letter.as_str()).collect();
        let day = due.first().and_then(|p| p.due.as_deref()).unwrap_or_default();
        let text = format!(
            "Plate {} on {} is late by {}: its parts are on the table {}, and {} due {}.",
            about.number,
            machine(job, t.machine_of(run)),
            length(late_s),
            time_words(t, ready_s),
            if letters.len() == 1 { format!("{} is", letters[0]) } else { format!("{} are", letters.join(", ")) },
            due_words(t, day, due_s),
        );
        let remedy = Some(Remedy::ImproveSequence);
        Some(Finding { remedy, ..note(Level::Watch, FindingKind::Late, Some(about.plate), text) })
    };
    (0..t.about.len()).filter_map(of).collect()
}
