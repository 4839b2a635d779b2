//! More copies on plates than are wanted.

use crate::{
    document::{CopyId, Job, Part},
    finding::{Finding, FindingKind, Level, Remedy},
    words,
};

/// Copies of a part beyond what is wanted; those that are not locked can be taken off, the last plates' first.
pub(super) fn finding(job: &Job, part: &Part) -> Option<Finding> {
    let placed = job.placed(part.id);
    let beyond = placed.saturating_sub(part.wanted as usize);
    if beyond == 0 {
        return None;
    }
    let all = job.plates.iter().rev().flat_map(|p| p.copies.iter().rev());
    let mine: Vec<CopyId> = all.filter(|c| c.part == part.id && !c.locked).map(|c| c.id).take(beyond).collect();
    Some(Finding {
        level: Level::Note,
        kind: FindingKind::Surplus,
        plate: None,
        copies: mine.clone(),
        height_mm: None,
        text: format!(
            "{} {}: {} on plates, {} wanted: {} more than wanted",
            part.letter,
            part.name,
            words::copies(placed),
            part.wanted,
            beyond
        ),
        remedy: Some(mine).filter(|m| !m.is_empty()).map(|copies| Remedy::Remove { copies }),
        more: Vec::new(),
    })
}
