//! Copies that should lie on one plate and lie on several.

use crate::{
    document::{Job, Part, Plate},
    finding::{Finding, FindingKind, Level},
};

/// Copies that should lie on one plate and lie on several.
pub(super) fn finding(job: &Job, part: &Part) -> Option<Finding> {
    let on = |p: &Plate| p.copies.iter().any(|c| c.part == part.id);
    let plates: Vec<usize> = job.plates.iter().enumerate().filter(|(_, p)| on(p)).map(|(n, _)| n + 1).collect();
    let (last, first) = plates.split_last()?;
    if !part.together || first.is_empty() {
        return None;
    }
    let first: Vec<String> = first.iter().map(ToString::to_string).collect();
    let text = format!(
        "{} {} must stay on one plate; its {} copies lie on plates {} and {last}",
        part.letter,
        part.name,
        job.placed(part.id),
        first.join(", ")
    );
    let (level, kind, copies) = (Level::Note, FindingKind::Parted, Vec::new());
    Some(Finding { level, kind, plate: None, copies, height_mm: None, text, remedy: None, more: Vec::new() })
}
