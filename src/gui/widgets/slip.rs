//! A slip of paper over the sheet.

use egui::{Frame, Margin};

use crate::gui::theme::{Theme, size};

/// The frame of what lies over the sheet for a while.
pub(crate) fn slip(theme: &Theme) -> Frame {
    Frame::new()
        .fill(theme.sheet)
        .stroke(theme.hairline())
        .corner_radius(size::CORNER)
        .inner_margin(Margin::symmetric(12, 7))
}
