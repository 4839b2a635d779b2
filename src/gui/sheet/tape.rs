//! The measuring tape.

use egui::{Align2, Painter, Pos2, Vec2};

use super::{Camera, pen::Pen};
use crate::{
    drawing::Dash,
    geom::Point,
    gui::theme::{self, Theme, size},
};

/// A distance being measured, bed millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Tape {
    /// Where it begins, once that is clicked.
    pub(crate) from: Option<Point>,
    /// Where it ends, once that is clicked too.
    pub(crate) to: Option<Point>,
}

impl Tape {
    /// The next click: the first point, the second, then a new first one.
    pub(crate) fn click(&mut self, at: Point) {
        match (self.from, self.to) {
            (Some(_), None) => self.to = Some(at),
            _ => *self = Self { from: Some(at), to: None },
        }
    }
    /// "84.30 mm · X 60.00, Y 59.20", to `at` while the end is open.
    pub(crate) fn words(&self, at: Option<Point>) -> Option<String> {
        let (from, to) = (self.from?, self.to.or(at)?);
        let d = to - from;
        Some(format!("{:.2} mm · X {:.2}, Y {:.2}", d.length(), d.x, d.y))
    }
    /// Draws it, following the pointer while its end is open.
    pub(crate) fn paint(&self, painter: &Painter, camera: &Camera, pointer: Option<Point>, theme: &Theme) {
        let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
        for p in [self.from, self.to.or(pointer)].into_iter().flatten() {
            let at = camera.to_screen(p);
            for d in [Vec2::new(5.0, 0.0), Vec2::new(0.0, 5.0)] {
                pen.line(&[at - d, at + d], false, size::SELECTION, theme.accent, Dash::Solid);
            }
        }
        let mut label: Option<(Pos2, String)> = None;
        if let (Some(from), Some(to)) = (self.from, self.to.or(pointer)) {
            let (a, b) = (camera.to_screen(from), camera.to_screen(to));
            pen.line(&[a, b], false, size::OUTLINE, theme.accent, Dash::Solid);
            label = self.words(pointer).map(|w| (b + Vec2::new(12.0, -12.0), w));
        }
        painter.add(egui::Shape::mesh(pen.finish()));
        if let Some((at, words)) = label {
            note(painter, at, &words, theme);
        }
    }
}

/// A small note on the sheet, its left end at `at`, kept inside what can be seen.
pub(super) fn note(painter: &Painter, at: Pos2, words: &str, theme: &Theme) {
    let galley = painter.layout_no_wrap(words.to_owned(), theme::bold(size::SMALL), theme.accent);
    let pad = Vec2::new(6.0, 3.0);
    let clip = painter.clip_rect().shrink(4.0);
    let mut rect = Align2::LEFT_CENTER.anchor_size(at, galley.size() + pad * 2.0);
    let over = Vec2::new((rect.right() - clip.right()).max(0.0), (rect.bottom() - clip.bottom()).max(0.0));
    let under = Vec2::new((clip.left() - rect.left()).max(0.0), (clip.top() - rect.top()).max(0.0));
    rect = rect.translate(under - over);
    painter.rect(rect, 3.0, theme.sheet, theme.hairline(), egui::StrokeKind::Inside);
    painter.galley(rect.min + pad, galley, theme.accent);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_clicks_measure_and_the_third_begins_anew() {
        let mut tape = Tape::default();
        assert_eq!(tape.words(Some(Point::new(1.0, 1.0))), None);
        tape.click(Point::new(10.0, 10.0));
        tape.click(Point::new(13.0, 14.0));
        assert_eq!(tape.words(None).as_deref(), Some("5.00 mm · X 3.00, Y 4.00"));
        tape.click(Point::new(0.0, 0.0));
        assert_eq!(tape.to, None);
        assert_eq!(tape.words(Some(Point::new(0.0, 2.0))).as_deref(), Some("2.00 mm · X 0.00, Y 2.00"));
    }
}
