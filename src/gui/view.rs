//! What the window itself remembers: where one looks, which tool is out, which question is open.

use std::path::PathBuf;

use egui::ThemePreference;

use super::{
    dialogs::Question,
    settings::Sizes,
    sheet::{Camera, Gesture, ScenePainter, Tape},
};
use crate::{
    document::{CopyId, PartId, PlateId},
    geom::Point,
    session::{Action, Unsaved},
    work::TicketId,
};

/// A question or a list that lies over the window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Over {
    /// There are unsaved changes; what was asked for once they are saved or given up.
    Unsaved(Action),
    /// A job was left unsaved when the program ended last.
    Recovery(Unsaved),
    /// Saving would replace a file that somebody may want.
    Replace,
    /// What is handed over has faults.
    FaultyFiles,
    /// A path, typed: there is no system dialog.
    Path(TypedPath),
    /// Rows and columns.
    Rows(RowsForm),
    /// The keys.
    Keys,
    /// About the program.
    About,
}

/// A path as far as it is typed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TypedPath {
    /// What it is for.
    pub(crate) question: Question,
    /// What is typed.
    pub(crate) text: String,
    /// What was asked for and is not there.
    pub(crate) missing: Option<PathBuf>,
}

impl TypedPath {
    /// A question, and what of its answer is typed already.
    pub(crate) fn new(question: Question, text: String) -> Self {
        Self { question, text, missing: None }
    }
    /// The paths typed, one a line; names without a folder count from where the question begins to look.
    pub(crate) fn paths(&self) -> Vec<PathBuf> {
        let typed = self.text.lines().map(str::trim).filter(|l| !l.is_empty());
        let folder = self.question.folder.clone().unwrap_or_default();
        typed.map(|l| folder.join(l)).collect()
    }
}

/// Rows and columns as typed so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RowsForm {
    /// Along x.
    pub(crate) columns: u32,
    /// Along y.
    pub(crate) rows: u32,
    /// Pitch along x, where it is typed.
    pub(crate) pitch_x_mm: Option<f64>,
    /// Pitch along y, where it is typed.
    pub(crate) pitch_y_mm: Option<f64>,
}

impl Default for RowsForm {
    fn default() -> Self {
        Self { columns: 3, rows: 2, pitch_x_mm: None, pitch_y_mm: None }
    }
}

/// What the window itself remembers.
pub(crate) struct View {
    /// Where one looks.
    pub(crate) camera: Camera,
    /// Puts drawings on the screen.
    pub(crate) painter: ScenePainter,
    /// Drawn copies kept from frame to frame.
    pub(crate) drawn: super::sheet::Drawn,
    /// What the pointer is doing on the sheet.
    pub(crate) gesture: Gesture,
    /// The next drag draws an area to top up.
    pub(crate) area: bool,
    /// Corners of the keep-out being drawn; `None` while none is.
    pub(crate) keep_out: Option<Vec<Point>>,
    /// Where the sheet was asked for its menu, mm.
    pub(crate) asked_at: Option<Point>,
    /// Lines of the docket on the screen; `None` is the one for a new plate.
    pub(crate) docket_lines: Vec<(Option<PlateId>, egui::Rect)>,
    /// The stretch of height that the strip shows.
    pub(crate) strip: super::panels::strip::Zoom,
    /// The measuring tape, while it is out.
    pub(crate) tape: Option<Tape>,
    /// Rings at half the gap are drawn.
    pub(crate) gap_rings: bool,
    /// Copies lit up this frame by what the pointer rests on in a panel.
    pub(crate) lit: Vec<CopyId>,
    /// The same, gathered for the next frame.
    pub(crate) lit_next: Vec<CopyId>,
    /// The part whose faces are being looked through.
    pub(crate) faces_of: Option<PartId>,
    /// Light, dark, or as the system has it.
    pub(crate) theme: ThemePreference,
    /// Text and all else so large, %.
    pub(crate) text_percent: u16,
    /// How wide the columns and how high the strip are.
    pub(crate) sizes: Sizes,
    /// What lies over the window.
    pub(crate) over: Option<Over>,
    /// A wish to bring the selection into view.
    pub(crate) reveal: bool,
    /// The part whose line was brought into sight last.
    pub(crate) part_in_sight: Option<PartId>,
    /// The plate whose line was brought into sight last.
    pub(crate) plate_in_sight: Option<PlateId>,
    /// The measurement that was brought into sight last.
    pub(crate) gauge_in_sight: Option<TicketId>,
    /// Height of all in the left column but the lines of its tables, as it was last drawn.
    pub(crate) left_fixed: f32,
}

impl Default for View {
    fn default() -> Self {
        Self {
            camera: Camera::default(),
            painter: ScenePainter::default(),
            drawn: super::sheet::Drawn::default(),
            gesture: Gesture::None,
            area: false,
            keep_out: None,
            asked_at: None,
            docket_lines: Vec::new(),
            strip: super::panels::strip::Zoom::default(),
            tape: None,
            gap_rings: true,
            lit: Vec::new(),
            lit_next: Vec::new(),
            faces_of: None,
            theme: ThemePreference::System,
            text_percent: 100,
            sizes: Sizes::default(),
            over: None,
            reveal: false,
            part_in_sight: None,
            plate_in_sight: None,
            gauge_in_sight: None,
            left_fixed: 0.0,
        }
    }
}

impl View {
    /// Is the measuring tape out?
    pub(crate) fn measuring(&self) -> bool {
        self.tape.is_some()
    }
}
