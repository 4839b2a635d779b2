//! Where the timeline lies on the screen.

use egui::{Pos2, Rect, Vec2};

use crate::{
    drawing::{PT_MM, TimelineFrame},
    geom::{Bounds, Point},
};

/// Where the timeline lies on the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Board {
    pub(super) frame: TimelineFrame,
    pub(super) rect: Rect,
}

impl Board {
    /// From the paper to the screen.
    pub(super) fn on_screen(&self, b: Bounds) -> Rect {
        let at = |p: Point| {
            let (x, y) = (p.x / PT_MM, (self.frame.height_mm - p.y) / PT_MM);
            self.rect.min + Vec2::new(x as f32, y as f32)
        };
        Rect::from_two_pos(at(b.min), at(b.max))
    }
    /// The row and the time under the pointer.
    pub(super) fn pointed(&self, p: Pos2) -> (Option<usize>, i64) {
        let by = p - self.rect.min;
        let y = self.frame.height_mm - f64::from(by.y) * PT_MM;
        (self.frame.row_at(y), self.frame.second_at(f64::from(by.x) * PT_MM))
    }
}
