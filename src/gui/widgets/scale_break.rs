//! The sign of a broken scale.

use egui::{Painter, Pos2, Rect, Stroke, Vec2};

use crate::drawing::Scale;

/// Draws two short strokes across the left edge of `rect` where the scale has its knee.
pub(crate) fn scale_break(painter: &Painter, scale: &Scale, rect: Rect, line: Stroke) {
    let Some(share) = scale.knee_share() else { return };
    let knee = Pos2::new(rect.left(), rect.bottom() - share as f32 * rect.height());
    for up in [0.0, 3.0] {
        painter.line_segment([knee + Vec2::new(-4.0, 2.0 - up), knee + Vec2::new(4.0, -2.0 - up)], line);
    }
}
