//! A label and a value on one line.

use egui::{Align, Color32, Layout, Response, Ui, UiBuilder, Vec2};

use super::field::take_refused;
use crate::gui::theme::{self, Theme, size};

/// Whether a hairline is ruled under a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rule {
    /// Ruled.
    Under,
    /// Plain.
    None,
}

/// Between a value and the right edge: as much as in a field.
const INSET: f32 = 6.0;

/// Keeps what follows on a line, from the right, as far from the edge as the values of fields.
pub(crate) fn inset(ui: &mut Ui) {
    ui.add_space(INSET);
}

/// A line with a label on the left; `value` fills the right from the right. The value's widgets are named by the
/// label for those who cannot see it.
pub(crate) fn line<R>(ui: &mut Ui, label: &str, rule: Rule, value: impl FnOnce(&mut Ui) -> R) -> R {
    let theme = Theme::of(ui.visuals());
    let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), size::LINE), egui::Sense::hover());
    // Painted, not announced: the value's widgets carry the same name.
    let mut job = egui::text::LayoutJob::simple_singleline(label.to_owned(), theme::regular(size::BODY), theme.faint);
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width());
    let galley = ui.painter().layout_job(job);
    let at = rect.left_center() - Vec2::new(0.0, galley.size().y / 2.0);
    ui.painter().galley(at, galley, theme.faint);
    let mut right =
        ui.new_child(UiBuilder::new().id_salt(label).max_rect(rect).layout(Layout::right_to_left(Align::Center)));
    let result = value(&mut right);
    if rule == Rule::Under {
        ui.painter().hline(rect.x_range(), rect.bottom(), theme.hairline());
    }
    if let Some(why) = take_refused(ui) {
        refusal(ui, &why);
    }
    result
}

/// Why what stands above is not taken.
pub(crate) fn refusal(ui: &mut Ui, why: &str) {
    let theme = Theme::of(ui.visuals());
    ui.add(egui::Label::new(egui::RichText::new(why).small().color(theme.stop)).wrap().halign(Align::Max));
}

/// A line with a label and a value that can only be read; the value on the line below where both do not fit.
pub(crate) fn reading(ui: &mut Ui, label: &str, value: &str) -> Response {
    let named = |ui: &mut Ui| {
        let response = ui.label(value);
        response
            .widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Label, true, format!("{label} {value}")));
        response
    };
    let wide = |text: &str| {
        let font = theme::regular(size::BODY);
        ui.painter().layout_no_wrap(text.to_owned(), font, Color32::PLACEHOLDER).size().x
    };
    if wide(label) + wide(value) + 3.0 * INSET <= ui.available_width() {
        return line(ui, label, Rule::None, |ui| {
            ui.add_space(INSET);
            named(ui)
        });
    }
    line(ui, label, Rule::None, |_| ());
    ui.with_layout(Layout::top_down(Align::Max), |ui| {
        ui.set_max_width(ui.available_width() - INSET);
        named(ui)
    })
    .inner
}
