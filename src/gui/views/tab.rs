//! The tabs.

use egui::{Align2, Pos2, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::gui::theme::{self, Theme, size};

/// A view of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Tab {
    /// The plate on the sheet, with the height strip.
    #[default]
    Sheet,
    /// Footings compared.
    Studies,
    /// When plates run, and who is there.
    Shifts,
}

impl Tab {
    const ALL: [Self; 3] = [Self::Sheet, Self::Studies, Self::Shifts];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Sheet => "Sheet",
            Self::Studies => "Studies",
            Self::Shifts => "Shifts",
        }
    }
    pub(crate) fn tooltip(self) -> &'static str {
        match self {
            Self::Sheet => "The plate as a drawing, and its layers over height",
            Self::Studies => "Footings compared: copies that fit, hours, grams, clean-up, margin",
            Self::Shifts => "When each plate runs, on which machine, and who is there",
        }
    }
}

/// The tabs, the chosen one in front; true to the drawing: slanted sides, open at the top.
pub(crate) fn tabs(ui: &mut Ui, now: &mut Tab) {
    let theme = Theme::of(ui.visuals());
    let band = ui.max_rect();
    ui.painter().hline(band.x_range(), band.top(), theme.hairline());
    let size_pt = Vec2::new(78.0, 26.0);
    for (n, tab) in Tab::ALL.into_iter().enumerate() {
        let corner = band.left_top() + Vec2::new(12.0 + n as f32 * (size_pt.x - 4.0), 0.0);
        let rect = egui::Rect::from_min_size(corner, size_pt);
        let response = ui.interact(rect, ui.scope_id().with(tab.name()), Sense::click());
        let chosen = *now == tab;
        response.widget_info(|| WidgetInfo::selected(Role::Tab, true, chosen, tab.name()));
        let at = |x: f32, y: f32| Pos2::new(x, y);
        let outline = vec![
            at(rect.left(), rect.top()),
            at(rect.left() + 7.0, rect.bottom()),
            at(rect.right() - 7.0, rect.bottom()),
            at(rect.right(), rect.top()),
        ];
        let fill = if chosen {
            theme.sheet
        } else if response.hovered() {
            theme.hovered
        } else {
            theme.panel
        };
        let line = if response.has_focus() {
            Stroke::new(1.6, theme.accent)
        } else {
            Stroke::new(1.0, if chosen { theme.ink } else { theme.faint })
        };
        let painter = ui.painter();
        painter.add(Shape::convex_polygon(outline.clone(), fill, Stroke::NONE));
        painter.add(Shape::line(outline, line));
        let (font, ink) =
            if chosen { (theme::bold(size::BODY), theme.ink) } else { (theme::regular(size::BODY), theme.faint) };
        painter.text(rect.center(), Align2::CENTER_CENTER, tab.name(), font, ink);
        if response.on_hover_text(tab.tooltip()).clicked() {
            *now = tab;
        }
    }
}
