//! Words to press.

use egui::{Response, RichText, Sense, Ui};

use crate::gui::theme::{self, Theme};

/// A word in the accent that does something when pressed or, with the focus on it, on Enter and Space.
pub(crate) fn link(ui: &mut Ui, text: &str, bold: bool) -> Response {
    let theme = Theme::of(ui.visuals());
    let words = if bold { theme::strong(text) } else { RichText::new(text) };
    let response = ui.add(egui::Label::new(words.color(theme.accent)).extend().sense(Sense::click()));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let line = egui::Stroke::new(1.0, theme.accent);
    if response.hovered() || response.has_focus() {
        ui.painter().hline(response.rect.x_range(), response.rect.bottom() - 1.0, line);
    }
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, ui.is_enabled(), text));
    response.on_hover_cursor(egui::CursorIcon::PointingHand)
}
