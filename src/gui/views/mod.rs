//! The views as tabs of a bound set of drawings, at the lower left. Views that do not work yet are not shown.
//!
//! - [`tabs`]: the tabs

use egui::{Align2, Pos2, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::theme::{self, Theme, size};

/// The tabs; there is one view so far.
pub(crate) fn tabs(ui: &mut Ui) {
    let theme = Theme::of(ui.visuals());
    let band = ui.max_rect();
    ui.painter().hline(band.x_range(), band.top(), theme.hairline());
    let size_pt = Vec2::new(78.0, 26.0);
    let rect = egui::Rect::from_min_size(band.left_top() + Vec2::new(12.0, 0.0), size_pt);
    let response = ui.interact(rect, ui.scope_id().with("Sheet"), Sense::hover());
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, true, "Sheet"));
    let at = |x: f32, y: f32| Pos2::new(x, y);
    let outline = vec![
        at(rect.left(), rect.top()),
        at(rect.left() + 7.0, rect.bottom()),
        at(rect.right() - 7.0, rect.bottom()),
        at(rect.right(), rect.top()),
    ];
    let painter = ui.painter();
    painter.add(Shape::convex_polygon(outline.clone(), theme.sheet, Stroke::NONE));
    painter.add(Shape::line(outline, Stroke::new(1.0, theme.ink)));
    painter.text(rect.center(), Align2::CENTER_CENTER, "Sheet", theme::bold(size::BODY), theme.ink);
}
