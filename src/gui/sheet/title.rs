//! The title block on the screen: the fields of the printed one, as narrow as the window allows.

use egui::{Align2, Painter, Pos2, Rect, StrokeKind, Vec2};

use crate::{
    drawing::TitleBlock,
    gui::theme::{self, Theme, size},
};

/// Height of the block.
pub(super) const HEIGHT: f32 = 54.0;

/// Draws the block with its lower right corner at `corner`, at most `width` wide; what is too narrow for a column
/// leaves the last ones out. Returns its box.
pub(super) fn paint(painter: &Painter, corner: Pos2, width: f32, block: &TitleBlock, theme: &Theme) -> Rect {
    let columns: [(f32, [(&str, &str); 2]); 5] = [
        (132.0, [("title", &block.title), ("recipe", &block.recipe)]),
        (58.0, [("plate", &block.plate), ("copies", &block.copies)]),
        (96.0, [("machine", &block.machine), ("material", &block.material)]),
        (82.0, [("time", &block.time), ("date", &block.date)]),
        (68.0, [("mass", &block.mass), ("scale", &block.scale)]),
    ];
    let mut shown = columns.len();
    let total = |n: usize| columns[..n].iter().map(|c| c.0).sum::<f32>();
    while shown > 1 && total(shown) > width {
        shown -= 1;
    }
    let stretch = (width / total(shown)).clamp(1.0, 1.3);
    let size = Vec2::new(total(shown) * stretch, HEIGHT);
    let rect = Rect::from_min_size(corner - size, size);
    painter.rect(rect, 0.0, theme.sheet, egui::Stroke::new(0.9, theme.ink), StrokeKind::Inside);
    let hair = egui::Stroke::new(0.6, theme.ink);
    painter.hline(rect.x_range(), rect.center().y, hair);
    let mut left = rect.left();
    for (i, (width, fields)) in columns[..shown].iter().enumerate() {
        if i > 0 {
            painter.vline(left, rect.y_range(), hair);
        }
        let width = width * stretch;
        for (row, (caption, value)) in fields.iter().enumerate() {
            let at = Pos2::new(left + 5.0, rect.top() + row as f32 * HEIGHT / 2.0);
            let cell = Rect::from_min_size(at - Vec2::new(5.0, 0.0), Vec2::new(width - 2.0, HEIGHT / 2.0));
            let painter = painter.with_clip_rect(cell.intersect(painter.clip_rect()));
            let caption_at = at + Vec2::new(0.0, 7.0);
            painter.text(caption_at, Align2::LEFT_CENTER, caption, theme::regular(size::CAPTION), theme.faint);
            painter.text(
                at + Vec2::new(0.0, 18.0),
                Align2::LEFT_CENTER,
                crate::drawing::text::fitted(value, size::SMALL, true, f64::from(width - 8.0)),
                theme::bold(size::SMALL),
                theme.ink,
            );
        }
        left += width;
    }
    rect
}
