//! Open items of a checklist, one finding a plate.

use std::collections::BTreeSet;

use crate::{
    document::{Job, Plate},
    finding::{Finding, FindingKind, Level},
    session::Session,
};

impl Session {
    /// Plates that are next on their machine, or run, with open items. Before anybody has ticked anything nothing is said, and nothing of plates that
    /// start later: a list of every plate would drown what matters now.
    pub(super) fn readiness_findings(&self, job: &Job) -> Vec<Finding> {
        if !job.readiness.is_in_use() {
            return Vec::new();
        }
        let mut machines = BTreeSet::new();
        let is_next = |p: &&Plate| p.run.ended.is_none() && !p.copies.is_empty() && machines.insert(p.machine);
        let next: Vec<&Plate> = job.plates.iter().filter(is_next).collect();
        next.into_iter().filter_map(|p| self.open_items(job, p)).collect()
    }

    fn open_items(&self, job: &Job, plate: &Plate) -> Option<Finding> {
        let lines = self.ready_lines_in(job, plate);
        let open: Vec<&str> = lines.iter().filter(|l| l.done.is_none()).map(|l| l.text.as_str()).collect();
        let (first, rest) = open.split_first()?;
        let number = job.plate_number(plate.id)?;
        let more = if rest.is_empty() { String::new() } else { format!(" and {} more", rest.len()) };
        let (are, items) = if open.len() == 1 { ("is", "item") } else { ("are", "items") };
        Some(Finding {
            level: Level::Watch,
            kind: FindingKind::Readiness,
            plate: Some(plate.id),
            copies: Vec::new(),
            height_mm: None,
            text: format!(
                "Plate {number} is next on its machine, and {} of {} {items} of its checklist {are} open: {first}{more}.",
                open.len(),
                lines.len(),
            ),
            remedy: None,
            more: Vec::new(),
        })
    }
}
