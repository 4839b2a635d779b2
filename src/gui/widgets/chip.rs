//! A part's letter on its hue.

use egui::{Align2, Response, Sense, Ui, Vec2, Widget};

use crate::gui::theme::{self, Theme};

/// A part's letter on its hue.
pub(crate) struct Chip<'a> {
    letter: &'a str,
    hue: usize,
}

impl<'a> Chip<'a> {
    /// A letter and the hue's number.
    pub(crate) fn new(letter: &'a str, hue: usize) -> Self {
        Self { letter, hue }
    }
}

impl Widget for Chip<'_> {
    fn ui(self, ui: &mut Ui) -> Response {
        let theme = Theme::of(ui.visuals());
        let width = if self.letter.len() > 1 { 26.0 } else { 20.0 };
        let (rect, response) = ui.allocate_exact_size(Vec2::new(width, 16.0), Sense::hover());
        let painter = ui.painter();
        painter.rect_filled(rect, 2.0, theme.hue(self.hue));
        painter.text(rect.center(), Align2::CENTER_CENTER, self.letter, theme::bold(11.0), theme.on_hue);
        response
    }
}
