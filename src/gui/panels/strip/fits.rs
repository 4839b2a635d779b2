//! Words as long as there is room for.

use egui::{Color32, Painter};

use crate::gui::theme::{self, size};

/// Width of words on the strip, points.
pub(super) fn width(painter: &Painter, words: &str) -> f32 {
    painter.layout_no_wrap(words.to_owned(), theme::regular(size::TINY), Color32::BLACK).size().x
}

/// The first of these words that is no wider than `room`, points; the last one where none is.
pub(super) fn that_fits<'a>(painter: &Painter, room: f32, words: &[&'a str]) -> &'a str {
    words.iter().copied().find(|w| width(painter, w) <= room).or(words.last().copied()).unwrap_or_default()
}
