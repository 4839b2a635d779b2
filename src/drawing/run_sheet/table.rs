//! The table to fill in by hand: what came of the plate.

use super::{
    flow::{Block, Flow},
    lines::Face,
    page::{Piece, Role},
};
use crate::drawing::{Dash, Ink, Mark};
use crate::geom::{Bounds, Point};

/// Room to write in, mm (common practice, no source).
const COUNT_MM: f64 = 7.5;
const COPIES_MM: f64 = 11.0;
const HEAD_MM: f64 = 9.5;
/// The last row holds names, and what is written under them.
const LAST_MM: f64 = 10.5;
/// Width of the names of rows.
const NAMES_MM: f64 = 27.0;
/// Outcomes side by side; more go into a further band.
const ACROSS: usize = 6;
const BAND_MM: f64 = HEAD_MM + COUNT_MM + COPIES_MM;

/// How high it comes out, mm.
pub(super) fn height_mm(causes: usize) -> f64 {
    BAND_MM * (causes + 1).div_ceil(ACROSS) as f64 + LAST_MM
}

/// How a row is set.
#[derive(Clone, Copy)]
enum Look {
    Heads,
    Empty,
    Named,
}

/// A row: cells with their words and widths.
fn row(n: usize, cells: &[(String, f64)], height_mm: f64, look: Look) -> Block {
    let mut pieces = Vec::new();
    let (mut left, mut lines) = (0.0, Vec::new());
    let width: f64 = cells.iter().map(|c| c.1).sum();
    for edge in std::iter::once(0.0).chain(cells.iter().map(|c| c.1)) {
        left += edge;
        lines.push(Mark::line(Point::new(left, 0.0), Point::new(left, -height_mm), Ink::Ink, 0.8));
    }
    for y in [0.0, -height_mm] {
        lines.push(Mark::line(Point::new(0.0, y), Point::new(width, y), Ink::Ink, 0.8));
    }
    pieces.push(Piece::new(Role::Layout, lines));
    left = 0.0;
    for (words, width) in cells {
        let (face, most) = match look {
            Look::Heads => (Face { bold: true, ..Face::SMALL }, 2),
            Look::Empty | Look::Named => (Face::SMALL, 1),
        };
        let (marks, _) = face.block(face.lines(words, width - 2.5, most));
        let down = if matches!(look, Look::Empty) { (height_mm - face.step_mm()) / 2.0 } else { 0.8 };
        let at = Point::new(left + 1.5, -down);
        let marks = marks.into_iter().map(|m| m.moved(1.0, at)).collect();
        pieces.push(Piece::new(Role::Cell { row: n, heads: matches!(look, Look::Heads) }, marks));
        left += width;
    }
    Block { pieces, height_mm }
}

/// Puts the table where the flow is, and never a band of it on two pages.
pub(super) fn put(flow: &mut Flow, causes: &[String]) {
    let width = flow.width_mm();
    let outcomes: Vec<String> =
        std::iter::once("Good".to_owned()).chain(causes.iter().map(|c| format!("Bad: {c}"))).collect();
    let across = outcomes.len().min(ACROSS);
    let each = (width - NAMES_MM) / across as f64;
    if height_mm(causes.len()) < flow.size_mm().1 / 2.0 {
        flow.keep(height_mm(causes.len()));
    }
    let mut n = 0;
    for band in outcomes.chunks(across) {
        let cells = |name: &str, words: &dyn Fn(usize) -> String| -> Vec<(String, f64)> {
            let of = (0..across).map(|i| (words(i), each));
            std::iter::once((name.to_owned(), NAMES_MM)).chain(of).collect()
        };
        let heads = cells("Result", &|i| band.get(i).cloned().unwrap_or_default());
        let empty = |_: usize| String::new();
        let mut all = row(n, &heads, HEAD_MM, Look::Heads);
        all.below(row(n + 1, &cells("How many", &empty), COUNT_MM, Look::Empty), 0.0);
        all.below(row(n + 2, &cells("Which copies", &empty), COPIES_MM, Look::Empty), 0.0);
        flow.put(all, 0.0);
        n += 3;
    }
    let last = ["Started", "Ended", "Real hours", "Grams", "Initials"].map(|w| (w.to_owned(), width / 5.0));
    flow.put(row(n, &last, LAST_MM, Look::Named), 3.0);
}

/// A table of words with its heads on every page it takes; columns share the width as `shares` say.
pub(super) fn listing(flow: &mut Flow, heads: &[&str], shares: &[f64], rows: &[Vec<String>]) {
    const ROW_MM: f64 = 5.6;
    let whole: f64 = shares.iter().sum();
    let width = flow.width_mm();
    let cells = |words: &mut dyn Iterator<Item = String>| -> Vec<(String, f64)> {
        words.zip(shares).map(|(w, s)| (w, width * s / whole)).collect()
    };
    let heads = row(0, &cells(&mut heads.iter().map(|h| (*h).to_owned())), ROW_MM, Look::Heads);
    let mut headed = false;
    for (i, words) in rows.iter().enumerate() {
        if !headed || flow.left_mm() < ROW_MM {
            flow.keep(2.0 * ROW_MM);
            flow.put(heads.clone(), 0.0);
            headed = true;
        }
        flow.put(row(i + 1, &cells(&mut words.iter().cloned()), ROW_MM, Look::Empty), 0.0);
    }
}

/// A box to tick, its upper left corner at a place.
pub(super) fn tick_box(at: Point) -> Mark {
    const SIDE_MM: f64 = 3.8;
    let b = Bounds::new(at - Point::new(0.0, SIDE_MM), at + Point::new(SIDE_MM, 0.0));
    Mark::Stroke { points: b.corners().to_vec(), closed: true, ink: Ink::Ink, width_pt: 1.4, dash: Dash::Solid }
}
