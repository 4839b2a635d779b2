//! What concerns only how one looks at a job: nothing here changes it.

use super::{guide::Page, views::Tab};
use crate::{
    geom::Bounds,
    session::{Action, Session},
};

/// Something to do with the window alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Look {
    /// Shows this view of the job.
    View(Tab),
    /// Shows the whole bed.
    WholeBed,
    /// Brings what is selected into the middle.
    Selection,
    /// Larger.
    Larger,
    /// Smaller.
    Smaller,
    /// Measures a distance.
    Measure,
    /// Draws an area to top up.
    TopUpArea,
    /// Draws a keep-out on the bed.
    KeepOut,
    /// Draws half the gap round each copy.
    GapRings,
    /// Marks on the bed where copies failed.
    FailingSpots,
    /// Brings up the form for what came out of the plate shown.
    TallyPlate,
    /// Steps to the next copy.
    NextCopy,
    /// Steps to the copy before.
    PreviousCopy,
    /// Asks for rows, columns and pitch.
    RowsAndColumns,
    /// Ink on paper.
    Light,
    /// Chalk on slate.
    Dark,
    /// As the system has it.
    AsSystem,
    /// Text and all else so large, %.
    TextSize(u16),
    /// Opens the guide at a page.
    Guide(Page),
    /// Opens the guide at the page about what is shown.
    GuideHere,
    /// Brings dismissed hints back.
    Hints,
    /// Says what this is.
    About,
}

impl Look {
    /// As menus write it.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::View(tab) => tab.name(),
            Self::WholeBed => "Whole bed",
            Self::Selection => "Show the selection",
            Self::Larger => "Zoom in",
            Self::Smaller => "Zoom out",
            Self::Measure => "Measure a distance",
            Self::TopUpArea => "Top up an area…",
            Self::KeepOut => "Draw a keep-out…",
            Self::GapRings => "Show gap rings",
            Self::FailingSpots => "Show where copies fail",
            Self::TallyPlate => "Tally plate…",
            Self::NextCopy => "Next copy",
            Self::PreviousCopy => "Previous copy",
            Self::RowsAndColumns => "Rows and columns…",
            Self::Light => "Ink on paper",
            Self::Dark => "Chalk on slate",
            Self::AsSystem => "Same as the system",
            Self::TextSize(_) => "Text size",
            Self::Guide(page) => page.name(),
            Self::GuideHere => "Guide",
            Self::Hints => "Show hints again",
            Self::About => "About Stonehand",
        }
    }
    /// One sentence more, empty where the name says it all.
    pub(crate) fn tooltip(self) -> &'static str {
        match self {
            Self::View(tab) => tab.tooltip(),
            Self::Measure => "Click two points on the sheet. The pointer snaps to corners of outlines",
            Self::TopUpArea => "Fills the area that you draw with as many more copies as fit",
            Self::GapRings => "Draws half the gap round every copy. Two rings that cross are too close",
            Self::FailingSpots => "Writes on the bed how many copies failed there, from the tally",
            Self::TallyPlate => "Writes down what came out of this plate: good and bad copies, real hours, filament",
            Self::RowsAndColumns => "Repeats the selected copies in rows and columns",
            Self::NextCopy | Self::PreviousCopy => "Selects the next or the previous copy on this plate",
            Self::GuideHere => "Explains what is shown",
            Self::Hints => "Brings back the hints that you dismissed",
            Self::KeepOut => "Drag a rectangle, or click corner by corner and end on the first one",
            _ => "",
        }
    }
    /// Its keys.
    pub(crate) fn shortcut(self) -> &'static str {
        match self {
            Self::View(Tab::Sheet) => "Ctrl+1",
            Self::View(Tab::Studies) => "Ctrl+2",
            Self::View(Tab::Shifts) => "Ctrl+3",
            Self::WholeBed => "F",
            Self::Selection => "Shift+F",
            Self::Larger => "Ctrl+Plus",
            Self::Smaller => "Ctrl+Minus",
            Self::Measure => "M",
            Self::TopUpArea => "Shift+T",
            Self::KeepOut => "K",
            Self::GapRings => "G",
            Self::TallyPlate => "Ctrl+T",
            Self::NextCopy => "PageDown",
            Self::PreviousCopy => "PageUp",
            Self::RowsAndColumns => "Ctrl+Shift+D",
            Self::GuideHere => "F1",
            _ => "",
        }
    }
    /// Is it about what lies on the sheet? Then its keys mean nothing while the sheet is not shown.
    pub(crate) fn is_of_the_sheet(self) -> bool {
        matches!(
            self,
            Self::WholeBed
                | Self::Selection
                | Self::Larger
                | Self::Smaller
                | Self::Measure
                | Self::TopUpArea
                | Self::KeepOut
                | Self::GapRings
                | Self::FailingSpots
                | Self::NextCopy
                | Self::PreviousCopy
                | Self::RowsAndColumns
        )
    }
    /// Can it be done now?
    pub(crate) fn enabled(self, session: &Session) -> bool {
        match self {
            Self::Selection => !session.selection().is_empty(),
            Self::RowsAndColumns => {
                Action::Grid { columns: 1, rows: 1, pitch_x_mm: None, pitch_y_mm: None }.enabled(session)
            }
            Self::TopUpArea => Action::TopUpArea(Bounds::EMPTY).enabled(session),
            Self::FailingSpots => !session.job().tally.is_empty(),
            Self::TallyPlate => session.plate().is_some_and(|p| !p.copies.is_empty()) && session.arranging().is_none(),
            Self::KeepOut => session.plate().is_some() && session.arranging().is_none(),
            Self::NextCopy | Self::PreviousCopy => Action::SelectAll.enabled(session),
            _ => true,
        }
    }
}
