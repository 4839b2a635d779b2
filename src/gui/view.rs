//! What the window itself remembers: where one looks, which tool is out, which question is open.

use egui::ThemePreference;

use super::{
    hints::Hints,
    lies_over::Over,
    settings::Sizes,
    sheet::{Camera, Gesture, ScenePainter, Tape},
    tally_form::TallyForm,
    views::{Tab, shifts::ShiftsView, studies::StudiesView},
};
use crate::{
    document::{CopyId, PartId, PlateId},
    geom::Point,
    work::TicketId,
};

/// What the window itself remembers.
pub(crate) struct View {
    /// The view shown.
    pub(crate) tab: Tab,
    /// What the view *Studies* remembers.
    pub(crate) studies: StudiesView,
    /// What the view *Shifts* remembers.
    pub(crate) shifts: ShiftsView,
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
    /// Marks where copies failed are drawn.
    pub(crate) failing_spots: bool,
    /// What is being written into the tally.
    pub(crate) tally: Option<TallyForm>,
    /// Initials of who works here, as typed last.
    pub(crate) initials: String,
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
    /// Hints for the first days.
    pub(crate) hints: Hints,
    /// What lies over the window.
    pub(crate) over: Option<Over>,
    /// A wish to bring the selection into view.
    pub(crate) reveal: bool,
    /// The part whose line was brought into sight last.
    pub(crate) part_in_sight: Option<PartId>,
    /// The plate whose line was brought into sight last.
    pub(crate) plate_in_sight: Option<PlateId>,
    /// The copy whose reach of a fall is shown.
    pub(crate) fall_of: Option<CopyId>,
    /// The measurement that was brought into sight last.
    pub(crate) gauge_in_sight: Option<TicketId>,
    /// Height of all in the left column but the lines of its tables, as it was last drawn.
    pub(crate) left_fixed: f32,
}

impl Default for View {
    fn default() -> Self {
        Self {
            tab: Tab::default(),
            studies: StudiesView::default(),
            shifts: ShiftsView::default(),
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
            failing_spots: false,
            tally: None,
            initials: String::new(),
            lit: Vec::new(),
            lit_next: Vec::new(),
            faces_of: None,
            theme: ThemePreference::System,
            text_percent: 100,
            sizes: Sizes::default(),
            hints: Hints::default(),
            over: None,
            reveal: false,
            part_in_sight: None,
            plate_in_sight: None,
            fall_of: None,
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
