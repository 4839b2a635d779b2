//! Blocks one under another, on as many pages as they take.

use super::{
    lines::Face,
    page::{Page, PageHead, Pages, Piece, Role},
    paper::MARGIN_MM,
};
use crate::drawing::{Anchor, Ink, Mark};
use crate::geom::Point;

/// Room for the line at the foot of a page, mm.
const FOOT_MM: f64 = 6.5;

/// Pieces and the height they take, mm: their upper left corner at the origin, y up.
#[derive(Debug, Clone, Default)]
pub(super) struct Block {
    pub(super) pieces: Vec<Piece>,
    pub(super) height_mm: f64,
}

impl Block {
    /// Running text.
    pub(super) fn text(role: Role, face: Face, words: &str, width_mm: f64, most: usize) -> Self {
        let (marks, height_mm) = face.block(face.lines(words, width_mm, most));
        if marks.is_empty() {
            return Self::default();
        }
        Self { pieces: vec![Piece::new(role, marks)], height_mm }
    }
    /// The same moved.
    pub(super) fn moved(self, by: Point) -> Vec<Piece> {
        let moved = |p: Piece| Piece { role: p.role, marks: p.marks.into_iter().map(|m| m.moved(1.0, by)).collect() };
        self.pieces.into_iter().map(moved).collect()
    }
    /// Another block under this one.
    pub(super) fn below(&mut self, other: Self, gap_mm: f64) {
        if other.height_mm <= 0.0 {
            return;
        }
        let down = if self.height_mm > 0.0 { self.height_mm + gap_mm } else { 0.0 };
        self.height_mm = down + other.height_mm;
        self.pieces.extend(other.moved(Point::new(0.0, -down)));
    }
}

/// Pages being filled from the top.
pub(super) struct Flow {
    size_mm: (f64, f64),
    bookmark: String,
    pages: Vec<Page>,
    /// Taken from the top of the last page, margin included, mm.
    down_mm: f64,
}

impl Flow {
    /// A first empty page.
    pub(super) fn new(size_mm: (f64, f64), bookmark: String) -> Self {
        let first = Page { size_mm, bookmark: Some(bookmark.clone()), pieces: Vec::new() };
        Self { size_mm, bookmark, pages: vec![first], down_mm: MARGIN_MM }
    }
    /// Width and height of a page, mm.
    pub(super) fn size_mm(&self) -> (f64, f64) {
        self.size_mm
    }
    /// Width between the margins, mm.
    pub(super) fn width_mm(&self) -> f64 {
        self.size_mm.0 - 2.0 * MARGIN_MM
    }
    /// Height left on this page, mm.
    pub(super) fn left_mm(&self) -> f64 {
        self.size_mm.1 - MARGIN_MM - FOOT_MM - self.down_mm
    }
    /// Nothing is on this page yet, or only the line that says whose continuation it is.
    fn is_fresh(&self) -> bool {
        self.down_mm < MARGIN_MM + 12.0
    }
    /// The next page, headed with what it continues.
    fn turn(&mut self) {
        self.pages.push(Page { size_mm: self.size_mm, bookmark: None, pieces: Vec::new() });
        self.down_mm = MARGIN_MM;
        let words = Face::HEADING.fitted(&format!("{}, continued", self.bookmark), self.width_mm());
        let block = Block::text(Role::Layout, Face::HEADING, &words, self.width_mm(), 1);
        self.place(block, 3.0);
    }
    fn place(&mut self, block: Block, gap_mm: f64) {
        let at = Point::new(MARGIN_MM, self.size_mm.1 - self.down_mm);
        self.down_mm += block.height_mm + gap_mm;
        if let Some(page) = self.pages.last_mut() {
            page.pieces.extend(block.moved(at));
        }
    }
    /// Goes on with a new page where so much does not fit on this one.
    pub(super) fn keep(&mut self, height_mm: f64) {
        if height_mm > self.left_mm() && !self.is_fresh() {
            self.turn();
        }
    }
    /// Puts a block here, or at the top of the next page where it does not fit, and `gap_mm` of air under it.
    pub(super) fn put(&mut self, block: Block, gap_mm: f64) {
        if block.height_mm <= 0.0 {
            return;
        }
        self.keep(block.height_mm);
        self.place(block, gap_mm);
    }
    /// The pages, each with the job and its own number at the foot.
    pub(super) fn finish(mut self, title: String, head: &PageHead) -> Pages {
        let count = self.pages.len();
        let width_mm = self.width_mm();
        for (i, page) in self.pages.iter_mut().enumerate() {
            let y = MARGIN_MM + 2.5;
            let rule = Point::new(MARGIN_MM, y + 1.5);
            let number = format!("{}, page {} of {count}", self.bookmark, i + 1);
            let marks = vec![
                Mark::line(rule, rule + Point::new(width_mm, 0.0), Ink::Ink, 0.7),
                Face::NAME.line(Point::new(MARGIN_MM, y), Face::NAME.fitted(&head.words(), width_mm * 0.52)),
                Face::NAME.anchored(
                    Point::new(MARGIN_MM + width_mm, y),
                    Anchor::End,
                    Face::NAME.fitted(&number, width_mm * 0.46),
                ),
            ];
            page.pieces.push(Piece::new(Role::Layout, marks));
        }
        Pages { title, pages: self.pages }
    }
}
