//! Copies that lie on no plate yet.

use crate::{
    document::{Job, Part},
    finding::{Finding, FindingKind, Level, Remedy},
    plate::{Shapes, made},
};

/// Copies of a part that are ordered and lie nowhere; `why` where a search found no place for them.
pub(super) fn finding(job: &Job, part: &Part, shapes: &Shapes, why: Option<&str>) -> Option<Finding> {
    let placed = made(job, part.id, shapes);
    let missing = (part.wanted as usize).saturating_sub(placed);
    if missing == 0 {
        return None;
    }
    let reason = why.map(|w| format!(": {w}")).unwrap_or_default();
    Some(Finding {
        // What could not be placed stops the order; what nobody has placed yet is only to be done.
        level: if why.is_none() { Level::Note } else { Level::Stop },
        kind: FindingKind::Unplaced,
        plate: None,
        copies: Vec::new(),
        height_mm: None,
        text: format!("{} {}: {missing} of {} not on a plate{reason}", part.letter, part.name, placed + missing),
        remedy: Some(Remedy::PlaceMissing { part: part.id }),
        more: Vec::new(),
    })
}
