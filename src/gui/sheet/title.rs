//! The title block on the screen: the fields of the printed one, as narrow as the window allows.

use egui::{Align2, Painter, Pos2, Rect, StrokeKind, Vec2};

use crate::{
    drawing::TitleBlock,
    gui::theme::{self, Theme, size},
};

/// Height of the block.
pub(super) const HEIGHT: f32 = 54.0;

/// Widths of the columns, points.
const WIDTHS: [f32; 5] = [132.0, 58.0, 96.0, 82.0, 68.0];

/// How many columns have room in a width, and how much wider than usual they are.
fn columns_in(width: f32) -> (usize, f32) {
    let total = |n: usize| WIDTHS[..n].iter().sum::<f32>();
    let shown = (1..=WIDTHS.len()).rev().find(|&n| total(n) <= width).unwrap_or(1);
    (shown, (width / total(shown)).clamp(0.5, 1.3))
}

/// The block's box: its lower right corner at `corner`, at most `width` wide.
pub(super) fn place(corner: Pos2, width: f32) -> Rect {
    let (shown, stretch) = columns_in(width);
    let size = Vec2::new(WIDTHS[..shown].iter().sum::<f32>() * stretch, HEIGHT);
    Rect::from_min_size(corner - size, size)
}

/// Draws the block in the box that [`place`] gives it; where it is too narrow for a column, the last ones are left out.
pub(super) fn paint(painter: &Painter, rect: Rect, block: &TitleBlock, theme: &Theme) {
    let fields: [[(&str, &str); 2]; 5] = [
        [("title", &block.title), ("recipe", &block.recipe)],
        [("plate", &block.plate), ("copies", &block.copies)],
        [("machine", &block.machine), ("material", &block.material)],
        [("time", &block.time), ("date", &block.date)],
        [("mass", &block.mass), ("scale", &block.scale)],
    ];
    let (shown, stretch) = columns_in(rect.width() + 0.01);
    painter.rect(rect, 0.0, theme.sheet, egui::Stroke::new(0.9, theme.ink), StrokeKind::Inside);
    let hair = egui::Stroke::new(0.6, theme.ink);
    painter.hline(rect.x_range(), rect.center().y, hair);
    let mut left = rect.left();
    for (i, (width, fields)) in WIDTHS[..shown].iter().zip(&fields).enumerate() {
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
}
