//! Due dates that cannot be read, or are past.

use super::note::{due_words, note};
use crate::{
    document::Job,
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
};

/// Part by part.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let mut all = Vec::new();
    for part in &job.parts {
        let Some(due) = part.due.as_deref().map(str::trim).filter(|d| !d.is_empty()) else { continue };
        let text = match t.calendar.due_s(due) {
            None => {
                let due: String = due.chars().take(40).collect();
                format!(
                    "{} {}: the due date {due:?} cannot be read. Write a day, as 2026-12-01, or a day and a time, as 2026-12-01T16:30.",
                    part.letter, part.name
                )
            }
            Some(s) if s < t.now_s => {
                let on = |p: &&crate::document::Plate| p.copies.iter().any(|c| c.part == part.id);
                let open = job.plates.iter().filter(on).filter(|p| p.run.ended.is_none() || p.run.failed).count();
                if open == 0 && job.made(part.id, |_| false) >= part.wanted as usize {
                    continue;
                }
                format!(
                    "{} {} was due {}, which is past. Agree on a new date, or take it out.",
                    part.letter,
                    part.name,
                    due_words(t, due, s)
                )
            }
            Some(_) => continue,
        };
        all.push(note(Level::Watch, FindingKind::DueDate, None, text));
    }
    all
}
