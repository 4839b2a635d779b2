//! Labels for bins, to cut apart.

use super::{
    lines::Face,
    page::{Page, PageHead, Pages, Piece, Role},
    paper::{MARGIN_MM, PrintPaper},
};
use crate::drawing::{Dash, Ink, Mark};
use crate::geom::Point;

const COLUMNS: usize = 3;
const ROWS: usize = 8;
/// Free round what is written, mm.
const INSET_MM: f64 = 3.0;

/// What one bin holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BinLabel {
    /// The order: the job's title.
    pub order: String,
    /// Letter and name of the part.
    pub part: String,
    /// Copies that come off the plate.
    pub count: usize,
    /// "Plate 3 of 12, Bench 2".
    pub plate: String,
    /// Material and colour, and when it is due.
    pub more: String,
}

/// Labels in three columns and eight rows, upright, with lines to cut along. None where there are none.
pub fn bin_labels(labels: &[BinLabel], head: &PageHead, paper: PrintPaper) -> Pages {
    let (width, height) = paper.size_mm();
    let (each_x, each_y) = ((width - 2.0 * MARGIN_MM) / COLUMNS as f64, (height - 2.0 * MARGIN_MM) / ROWS as f64);
    let pages = labels.chunks(COLUMNS * ROWS).enumerate().map(|(n, chunk)| {
        let mut pieces = vec![Piece::new(Role::Layout, cuts((width, height), (each_x, each_y), chunk.len()))];
        for (i, label) in chunk.iter().enumerate() {
            let (column, row) = (i % COLUMNS, i / COLUMNS);
            let corner = Point::new(MARGIN_MM + each_x * column as f64, height - MARGIN_MM - each_y * row as f64);
            pieces.push(Piece::new(Role::Paragraph, one(label, corner, each_x)));
        }
        let bookmark = (n == 0).then(|| "Labels for bins".to_owned());
        Page { size_mm: (width, height), bookmark, pieces }
    });
    Pages { title: format!("Labels for bins: {}", head.job), pages: pages.collect() }
}

fn one(label: &BinLabel, corner: Point, width_mm: f64) -> Vec<Mark> {
    let room = width_mm - 2.0 * INSET_MM;
    let count = crate::words::copies(label.count);
    let lines = [
        (Face::NAME, label.order.as_str(), 1),
        (Face::HEADING, label.part.as_str(), 2),
        (Face { bold: true, ..Face::BODY }, count.as_str(), 1),
        (Face::SMALL, label.plate.as_str(), 1),
        (Face::SMALL, label.more.as_str(), 1),
    ];
    let mut marks = Vec::new();
    let mut down = INSET_MM;
    for (face, words, most) in lines {
        for line in face.lines(words, room, most) {
            marks.push(face.line(corner + Point::new(INSET_MM, -down), line));
            down += face.step_mm();
        }
    }
    marks
}

/// Dashed lines round so many labels.
fn cuts(page: (f64, f64), each: (f64, f64), count: usize) -> Vec<Mark> {
    let rows = count.div_ceil(COLUMNS) as f64;
    let (left, top) = (MARGIN_MM, page.1 - MARGIN_MM);
    let dashed = |a: Point, b: Point| Mark::Stroke {
        points: vec![a, b],
        closed: false,
        ink: Ink::Faint,
        width_pt: 0.6,
        dash: Dash::Dashed,
    };
    let across = (0..=rows as usize).map(|r| {
        let y = top - each.1 * r as f64;
        dashed(Point::new(left, y), Point::new(page.0 - MARGIN_MM, y))
    });
    let down = (0..=COLUMNS).map(|c| {
        let x = left + each.0 * c as f64;
        dashed(Point::new(x, top), Point::new(x, top - each.1 * rows))
    });
    across.chain(down).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        drawing::{PT_MM, written_box},
        geom::Bounds,
    };

    #[test]
    fn what_is_written_stays_on_its_label() {
        let long = BinLabel {
            order: "Hive fittings for the spring ".repeat(5),
            part: "A frame spacer for deep supers ".repeat(5),
            count: 120,
            plate: "Plate 3 of 12, Bench 2".into(),
            more: "PLA, straw ".repeat(9),
        };
        for paper in PrintPaper::ALL {
            let (width, height) = paper.size_mm();
            let pages = bin_labels(&vec![long.clone(); 50], &PageHead::default(), paper);
            assert_eq!(pages.pages.len(), 3);
            let cell = Point::new((width - 2.0 * MARGIN_MM) / 3.0, (height - 2.0 * MARGIN_MM) / 8.0);
            for page in &pages.pages {
                for (i, piece) in page.pieces.iter().filter(|p| p.role == Role::Paragraph).enumerate() {
                    let corner = Point::new(MARGIN_MM, height - MARGIN_MM)
                        + Point::new(cell.x * (i % 3) as f64, -cell.y * (i / 3) as f64);
                    let room = Bounds::new(corner - Point::new(0.0, cell.y), corner + Point::new(cell.x, 0.0));
                    for b in piece.marks.iter().filter_map(|m| written_box(m, PT_MM)) {
                        assert!(room.contains(b.min) && room.contains(b.max), "{b:?} in {room:?}");
                    }
                }
            }
        }
        assert!(bin_labels(&[], &PageHead::default(), PrintPaper::A4).pages.is_empty());
    }
}
