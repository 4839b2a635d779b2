//! What lies over the drawing while somebody works: the selection's frame and handle, the marquee, what is lit up.

use egui::{Painter, Pos2, Rect, Vec2};

use super::{Camera, Drawn, pen::Pen};
use crate::{
    document::CopyId,
    drawing::Dash,
    geom::Bounds,
    gui::theme::{Theme, size},
};

/// Where the turning handle is, for the selection's box on the screen.
pub(super) fn handle(frame: Rect) -> Pos2 {
    Pos2::new(frame.center().x, frame.top() - size::HANDLE)
}

/// The selection's box on the screen, a little larger than what is selected.
pub(super) fn frame(camera: &Camera, bounds: Bounds) -> Option<Rect> {
    (!bounds.is_empty()).then(|| camera.rect(bounds).expand(5.0))
}

/// Draws the frame round what is selected and its turning handle.
pub(super) fn selection(painter: &Painter, frame: Rect, held: bool, theme: &Theme) {
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    let corners = [frame.left_top(), frame.right_top(), frame.right_bottom(), frame.left_bottom()];
    pen.line(&corners, true, 1.0, theme.accent, Dash::Dashed);
    let knob = handle(frame);
    pen.line(&[Pos2::new(knob.x, frame.top()), knob + Vec2::new(0.0, 5.0)], false, 1.4, theme.accent, Dash::Solid);
    pen.disc(knob, 5.5, theme.accent);
    if !held {
        pen.disc(knob, 4.0, theme.sheet);
    }
    painter.add(egui::Shape::mesh(pen.finish()));
}

/// Draws a line round copies that something in a panel speaks of.
pub(super) fn lit(painter: &Painter, camera: &Camera, drawn: &Drawn, ids: &[CopyId], theme: &Theme) {
    if ids.is_empty() {
        return;
    }
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    for shown in drawn.shown().filter(|s| ids.contains(&s.id)) {
        for ring in shown.drawn.shadow.loops() {
            let points: Vec<Pos2> = ring.iter().map(|&p| camera.to_screen(p)).collect();
            pen.line(&points, true, 3.0, theme.accent, Dash::Solid);
        }
    }
    painter.add(egui::Shape::mesh(pen.finish()));
}

/// Draws the marquee.
pub(super) fn marquee(painter: &Painter, rect: Rect, theme: &Theme) {
    painter.rect_filled(rect, 0.0, theme.accent.gamma_multiply(0.08));
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    let corners = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()];
    pen.line(&corners, true, 1.0, theme.accent, Dash::Dashed);
    painter.add(egui::Shape::mesh(pen.finish()));
}
