//! A section's head.

use egui::{Align, Layout, Ui, Vec2};

use crate::gui::theme::{self, Theme, size};

/// A section's name, with something beside it on the right.
pub(crate) fn title<R>(ui: &mut Ui, text: &str, beside: impl FnOnce(&mut Ui) -> R) -> R {
    let theme = Theme::of(ui.visuals());
    ui.allocate_ui_with_layout(Vec2::new(ui.available_width(), 24.0), Layout::left_to_right(Align::Center), |ui| {
        ui.add(egui::Label::new(theme::strong(text).size(size::TITLE).color(theme.ink)).truncate());
        ui.with_layout(Layout::right_to_left(Align::Center), beside).inner
    })
    .inner
}
