//! More copies on plates than are wanted.

use crate::{
    document::{CopyId, Job, Part},
    finding::{Finding, FindingKind, Level, Remedy},
    plate::{Shapes, made},
    words,
};

/// Copies of a part beyond what is wanted; those that are not locked can be taken off, the last plates' first.
pub(super) fn finding(job: &Job, part: &Part, shapes: &Shapes) -> Option<Finding> {
    let placed = made(job, part.id, shapes);
    let beyond = placed.saturating_sub(part.wanted as usize);
    if beyond == 0 {
        return None;
    }
    // With a copy goes its twin: none is offered whose twin is of another part, or would be missed.
    let (mut left, mut mine) = (beyond, Vec::<CopyId>::new());
    // What was tallied is made, whatever still lies on its plate.
    for plate in job.plates.iter().rev().filter(|p| !job.tally.has(p.id)) {
        for copy in plate.copies.iter().rev().filter(|c| c.part == part.id && !c.locked) {
            let twin = job.part_of_twin(plate, copy, |id| shapes.get(&id).is_some_and(|s| s.own_mirror));
            let goes = 1 + usize::from(twin.is_some());
            if twin.is_none_or(|t| t == part.id) && goes <= left {
                left -= goes;
                mine.push(copy.id);
            }
        }
    }
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
