//! The buttons of the moves: a name on the left, what it does on the right.

use egui::{Align2, Response, Sense, Stroke, StrokeKind, Ui, Vec2, Widget};

use crate::gui::theme::{self, Theme, size};

/// A wide button with a name and a note.
pub(crate) struct MoveButton<'a> {
    name: &'a str,
    note: &'a str,
    /// Share done while it runs.
    progress: Option<f32>,
}

impl<'a> MoveButton<'a> {
    /// A button.
    pub(crate) fn new(name: &'a str, note: &'a str) -> Self {
        Self { name, note, progress: None }
    }
    /// Filled up to this share, 0..=1, while it runs.
    pub(crate) fn progress(mut self, share: Option<f32>) -> Self {
        self.progress = share;
        self
    }
}

impl Widget for MoveButton<'_> {
    fn ui(self, ui: &mut Ui) -> Response {
        let theme = Theme::of(ui.visuals());
        let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), size::MOVE), Sense::click());
        let enabled = ui.is_enabled();
        response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, enabled, self.name));
        if response.gained_focus() {
            response.scroll_to_me(None);
        }
        let visuals = ui.style().interact(&response);
        let painter = ui.painter();
        painter.rect_filled(rect, visuals.corner_radius, visuals.weak_bg_fill);
        if let Some(share) = self.progress {
            let mut done = rect;
            done.set_width(rect.width() * share.clamp(0.0, 1.0));
            painter.rect_filled(done, visuals.corner_radius, theme.chosen);
        }
        let line = if response.has_focus() { Stroke::new(1.4, theme.accent) } else { visuals.bg_stroke };
        painter.rect_stroke(rect, visuals.corner_radius, line, StrokeKind::Inside);
        let left = rect.left_center() + Vec2::new(12.0, 0.0);
        let right = rect.right_center() - Vec2::new(12.0, 0.0);
        let (ink, faint) = if enabled { (theme.ink, theme.faint) } else { (theme.faint, theme.faint) };
        painter.text(left, Align2::LEFT_CENTER, self.name, theme::bold(size::BODY), ink);
        painter.text(right, Align2::RIGHT_CENTER, self.note, theme::regular(size::SMALL), faint);
        response
    }
}
