//! Bad copies that nobody named.

use crate::{
    document::{Job, PlateOutcome},
    finding::{Finding, FindingKind, Level},
    words,
};

/// Plates of several parts of which nobody said which copies are bad: each part counts them all as its own until somebody does.
pub(super) fn findings(job: &Job) -> Vec<Finding> {
    let open = |o: &&PlateOutcome| !o.knows_each() && o.only_part().is_none();
    let finding = |o: &PlateOutcome| {
        let number = job.plate_number(o.plate)?;
        let text = format!(
            "Plate {number}: {} bad, and nobody has said which. Until then every part on it counts as having lost so many. Tally it again and name them.",
            words::copies(o.unnamed_bad as usize)
        );
        Some(Finding {
            level: Level::Watch,
            kind: FindingKind::Tally,
            plate: Some(o.plate),
            copies: Vec::new(),
            height_mm: None,
            text,
            remedy: None,
            more: Vec::new(),
        })
    };
    job.tally.outcomes().iter().filter(open).filter_map(finding).collect()
}
