//! The table to fill in by hand: what came of the plate.

use super::{
    flow::{Block, Flow},
    lines::Face,
    page::{Piece, Role},
};
use crate::drawing::{Ink, Mark};
use crate::geom::{Bounds, Point};

/// Room to write in, mm (common practice, no source).
const ROW_MM: f64 = 8.0;
const HEAD_MM: f64 = 6.0;
/// The last row holds two lines: names, and what is written under them.
const LAST_MM: f64 = 12.0;

/// How high it comes out, mm.
pub(super) fn height_mm(causes: usize) -> f64 {
    HEAD_MM + ROW_MM * (causes + 1) as f64 + LAST_MM
}

/// A row: cells with their words, their widths, whether they head their columns.
fn row(n: usize, cells: &[(String, f64)], height_mm: f64, heads: bool) -> Block {
    let mut pieces = Vec::new();
    let mut left = 0.0;
    let face = if heads { Face { bold: true, ..Face::SMALL } } else { Face::BODY };
    let face = if height_mm == LAST_MM { Face::NAME } else { face };
    for (words, width) in cells {
        let down = if height_mm == LAST_MM { 1.0 } else { (height_mm - face.step_mm()) / 2.0 };
        let marks = match words.as_str() {
            "" => Vec::new(),
            words => vec![face.line(Point::new(left + 2.0, -down), face.fitted(words, width - 3.0))],
        };
        pieces.push(Piece::new(Role::Cell { row: n, heads }, marks));
        left += width;
    }
    let mut lines = Vec::new();
    let mut x = 0.0;
    let width: f64 = cells.iter().map(|c| c.1).sum();
    for edge in std::iter::once(0.0).chain(cells.iter().map(|c| c.1)) {
        x += edge;
        lines.push(Mark::line(Point::new(x, 0.0), Point::new(x, -height_mm), Ink::Ink, 0.8));
    }
    for y in [0.0, -height_mm] {
        lines.push(Mark::line(Point::new(0.0, y), Point::new(width, y), Ink::Ink, 0.8));
    }
    // Lines come with the last cell's row, behind nothing: they are no text.
    pieces.insert(0, Piece::new(Role::Layout, lines));
    Block { pieces, height_mm }
}

/// Puts the table where the flow is; its heads again on every page.
pub(super) fn put(flow: &mut Flow, causes: &[String]) {
    let width = flow.width_mm();
    let columns = [52.0, 24.0, width - 52.0 - 24.0];
    let cells = |words: [&str; 3]| -> Vec<(String, f64)> {
        words.iter().zip(columns).map(|(w, c)| ((*w).to_owned(), c)).collect()
    };
    let heads = row(0, &cells(["What came of it", "How many", "Which copies"]), HEAD_MM, true);
    let rows = std::iter::once("Good".to_owned()).chain(causes.iter().map(|c| format!("Bad: {c}")));
    flow.keep(HEAD_MM + ROW_MM);
    flow.put(heads.clone(), 0.0);
    for (i, words) in rows.enumerate() {
        if flow.left_mm() < ROW_MM {
            flow.keep(ROW_MM);
            flow.put(heads.clone(), 0.0);
        }
        flow.put(row(i + 1, &cells([&words, "", ""]), ROW_MM, false), 0.0);
    }
    let each = width / 4.0;
    let last = ["Started", "Ended", "Real hours", "Initials"].map(|w| (w.to_owned(), each));
    flow.put(row(causes.len() + 2, &last, LAST_MM, false), 4.0);
}

/// A box to tick, its upper left corner at a place.
pub(super) fn tick_box(at: Point) -> Mark {
    const SIDE_MM: f64 = 3.8;
    let b = Bounds::new(at - Point::new(0.0, SIDE_MM), at + Point::new(SIDE_MM, 0.0));
    Mark::Stroke {
        points: b.corners().to_vec(),
        closed: true,
        ink: Ink::Ink,
        width_pt: 1.4,
        dash: crate::drawing::Dash::Solid,
    }
}
