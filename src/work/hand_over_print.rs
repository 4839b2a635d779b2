//! Hand-over files that are printed: run sheets, the week, labels for bins.

use std::collections::BTreeMap;

use crate::{
    document::PlateId,
    drawing::{
        DrawnTimeline, SheetInput,
        run_sheet::{BinLabel, PageHead, Pages, PrintPaper, RunSheetGiven, bin_labels, run_sheet, timeline_pages},
    },
};

/// What goes onto paper.
#[derive(Debug, Clone, Default)]
pub struct ToPrint {
    /// What every page says of the job.
    pub head: PageHead,
    /// The paper.
    pub paper: PrintPaper,
    /// What run sheets say, by plate.
    pub sheets: BTreeMap<PlateId, RunSheetGiven>,
    /// Labels for bins, and the plate of each.
    pub labels: Vec<(PlateId, BinLabel)>,
    /// The timeline, and what stands under its title; `None` where no plate is in the plan.
    pub timeline: Option<(DrawnTimeline, String)>,
}

impl ToPrint {
    /// The run sheet of a plate.
    pub(super) fn run_sheet(&self, plate: PlateId, input: &SheetInput) -> Option<Pages> {
        Some(run_sheet(self.sheets.get(&plate)?, input, self.paper))
    }
    /// Labels of one plate, or of all; `None` where there are none.
    pub(super) fn labels(&self, only: Option<PlateId>) -> Option<Pages> {
        let wanted = self.labels.iter().filter(|(plate, _)| only.is_none_or(|id| id == *plate));
        let labels: Vec<BinLabel> = wanted.map(|(_, label)| label.clone()).collect();
        (!labels.is_empty()).then(|| bin_labels(&labels, &self.head, self.paper))
    }
    /// The timeline.
    pub(super) fn week(&self) -> Option<Pages> {
        self.timeline.as_ref().map(|(t, note)| timeline_pages(t, &self.head, note, self.paper))
    }
}
