//! Where things lie.

use crate::geom::Placement;

/// A shape at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// Index into [`crate::packing::Problem::shapes`].
    pub shape: usize,
    /// Where.
    pub at: Placement,
}

/// An answer: where each free copy lies. Copies fixed on a bed are not repeated here.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Copies placed, by bed.
    pub beds: Vec<Vec<Item>>,
    /// Copies not placed, by shape (Pack only).
    pub unplaced: Vec<usize>,
}

impl Layout {
    /// Number of copies placed.
    pub fn count(&self) -> usize {
        self.beds.iter().map(Vec::len).sum()
    }
}
