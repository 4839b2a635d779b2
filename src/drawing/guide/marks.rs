//! What the drawings of the guide share.

use crate::{
    drawing::{Anchor, Ink, Mark},
    geom::{Bounds, Point, Region},
};

/// Letters, points.
pub(super) const LETTERS_PT: f32 = 11.0;

/// A bracket, its corner at the origin, mm: the part that the drawings show.
pub(super) fn bracket() -> Region {
    let p = Point::new;
    let corners = vec![p(0.0, 0.0), p(30.0, 0.0), p(30.0, 9.0), p(9.0, 9.0), p(9.0, 30.0), p(0.0, 30.0)];
    crate::geom::Polygon::simple(corners).into()
}

pub(super) fn text(words: &str, at: Point, anchor: Anchor, ink: Ink) -> Mark {
    Mark::Text { at, anchor, text: words.to_owned(), size_pt: LETTERS_PT, bold: false, ink }
}

/// An empty sheet of paper.
pub(super) fn paper(width_mm: f64, height_mm: f64) -> Bounds {
    Bounds::new(Point::default(), Point::new(width_mm, height_mm))
}
