//! What lies over the drawing while somebody works: the selection's frame and handle, the marquee, what is lit up.

use egui::{Painter, Pos2, Rect, Vec2};

use super::{Camera, Drawn, pen::Pen};
use crate::{
    batch::tally::Spot,
    document::{Cause, CopyId},
    drawing::Dash,
    geom::{Bounds, Point},
    gui::theme::{self, Theme, size},
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

/// Crosses out copies that are marked as bad, each with its cause.
pub(super) fn bad(
    painter: &Painter,
    camera: &Camera,
    drawn: &Drawn,
    cause: &dyn Fn(CopyId) -> Option<Cause>,
    theme: &Theme,
) {
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    let mut words = Vec::new();
    for shown in drawn.shown() {
        let Some(cause) = cause(shown.id) else { continue };
        let r = camera.rect(shown.drawn.shadow.bounds());
        for ends in [[r.left_top(), r.right_bottom()], [r.left_bottom(), r.right_top()]] {
            pen.line(&ends, false, 1.8, theme.stop, Dash::Solid);
        }
        words.push((r.center_bottom(), cause.words()));
    }
    painter.add(egui::Shape::mesh(pen.finish()));
    for (at, text) in words {
        painter.text(at, egui::Align2::CENTER_BOTTOM, text, theme::bold(size::SMALL), theme.stop);
    }
}

/// Writes where copies failed, and how many of those printed there.
pub(super) fn failing(painter: &Painter, camera: &Camera, bed: Bounds, spots: &[Spot], theme: &Theme) {
    for s in spots.iter().filter(|s| s.failed > 0) {
        let at = Point::new(bed.min.x + s.x * bed.width(), bed.min.y + s.y * bed.height());
        let at = camera.to_screen(at);
        painter.circle_stroke(at, 11.0, egui::Stroke::new(1.2, theme.watch));
        let words = format!("{} of {}", s.failed, s.of);
        painter.text(at, egui::Align2::CENTER_CENTER, words, theme::bold(size::SMALL), theme.watch);
    }
}

/// Draws the marquee.
pub(super) fn marquee(painter: &Painter, rect: Rect, theme: &Theme) {
    painter.rect_filled(rect, 0.0, theme.accent.gamma_multiply(0.08));
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    let corners = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()];
    pen.line(&corners, true, 1.0, theme.accent, Dash::Dashed);
    painter.add(egui::Shape::mesh(pen.finish()));
}
