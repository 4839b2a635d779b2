//! Lines of tables, laid out by hand so that figures line up.

use egui::{Align2, Rect, Response, Sense, Stroke, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::gui::theme::{self, Theme, size};

/// A table's head: words over columns, each at its right edge but the first; a hairline under them. Edges count from
/// the left of the panel's contents.
pub(crate) fn head(ui: &mut Ui, columns: &[(&str, f32, Align2)]) -> Response {
    let theme = Theme::of(ui.visuals());
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 22.0), Sense::hover());
    for (word, x, align) in columns {
        let at = egui::Pos2::new(rect.left() + x, rect.center().y);
        ui.painter().text(at, *align, word, theme::regular(size::TINY), theme.faint);
    }
    ui.painter().hline(rect.x_range(), rect.bottom(), theme.hairline());
    response
}

/// The lines of a table, `count` of them, scrolled where they are higher than `most`; returns how high they are shown.
pub(crate) fn lines(ui: &mut Ui, name: &str, most: f32, count: usize, contents: impl FnOnce(&mut Ui)) -> f32 {
    let height = (count as f32 * size::ROW).min(most);
    let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
    // The filled line of a table is wider than its text.
    let room = rect.expand2(Vec2::new(size::ROW_OVER, 0.0));
    let mut wide = ui.new_child(egui::UiBuilder::new().max_rect(room));
    let area = egui::ScrollArea::vertical().id_salt(name).max_height(height).min_scrolled_height(height);
    area.auto_shrink(false).show(&mut wide, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let margin = egui::Margin::symmetric(size::ROW_OVER as i8, 0);
        egui::Frame::new().inner_margin(margin).show(ui, contents);
    });
    height
}

/// A line of a table that can be pressed: lit while the pointer is on it, filled while it is chosen.
pub(crate) fn row(ui: &mut Ui, name: &str, chosen: bool, sense: Sense) -> (Rect, Response) {
    let theme = Theme::of(ui.visuals());
    let size = Vec2::new(ui.available_width(), size::ROW);
    let (rect, response) = ui.allocate_exact_size(size, sense);
    response.widget_info(|| WidgetInfo::selected(Role::Row, true, chosen, name));
    let wide = rect.expand2(Vec2::new(size::ROW_OVER, 0.0));
    let fill = if chosen {
        Some(theme.chosen)
    } else if response.hovered() {
        Some(theme.hovered)
    } else {
        None
    };
    if let Some(fill) = fill {
        ui.painter().rect_filled(wide, 3.0, fill);
    }
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if response.has_focus() {
        ui.painter().rect_stroke(wide, 3.0, Stroke::new(1.4, theme.accent), egui::StrokeKind::Inside);
    }
    (rect, response)
}

/// Text in a line, at a right or left edge counted from the line's left.
pub(crate) fn cell(ui: &Ui, row: Rect, x: f32, align: Align2, text: &str, font: egui::FontId, ink: egui::Color32) {
    ui.painter().text(egui::Pos2::new(row.left() + x, row.center().y), align, text, font, ink);
}

/// A name in a line, cut where there is no more room.
pub(crate) fn name_cell(ui: &Ui, row: Rect, from: f32, to: f32, text: &str, ink: egui::Color32) {
    let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), theme::regular(size::BODY), ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(to - from);
    let galley = ui.painter().layout_job(job);
    let at = egui::Pos2::new(row.left() + from, row.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, ink);
}
