//! The packing problem: shapes, beds, clearances and the aim.

use crate::geom::{Outline, Region};
use crate::packing::{Item, Twin};

/// A shape that may lie on beds any number of times. All outlines share one origin.
#[derive(Debug, Clone)]
pub struct Shape {
    /// Outline from above, all heights together.
    pub shadow: Outline,
    /// Where it touches the bed.
    pub contact: Outline,
    /// Contact with its footing; the contact itself where bare.
    pub footing: Outline,
    /// Step of allowed turns in radians from 0; `None` for any turn; a full turn for none.
    pub turn_step_rad: Option<f64>,
    /// Only shapes and beds of the same class go together (material, colour, recipe).
    pub class: u32,
    /// Its height, mm.
    pub height_mm: f64,
}

/// A bed that takes copies.
#[derive(Debug, Clone)]
pub struct Bed {
    /// Where shadows and footings may lie: the bed's outline less the edge margin. One or more polygons.
    pub room: Region,
    /// Areas that neither a shadow nor a footing may cover.
    pub keep_outs: Vec<Region>,
    /// Copies that stay where they are, valid or not.
    pub fixed: Vec<Item>,
    /// Only shapes of the same class; `None` takes its class from the first copy put on it.
    pub class: Option<u32>,
    /// Usable height, mm.
    pub height_mm: f64,
    /// What each copy implies; `None`: nothing.
    pub twin: Option<Twin>,
}

/// What makes a layout good.
#[derive(Debug, Clone, PartialEq)]
pub enum Aim {
    /// Place `counts[shape]` copies: as many as possible, then on as few beds as possible, then the last bed used as
    /// empty as possible, then the smallest box on each.
    Pack {
        /// Copies wanted, by shape.
        counts: Vec<usize>,
    },
    /// As many more copies as fit, `shares[shape]` to one another (0: none of it), at most `at_most[shape]` each.
    TopUp {
        /// Proportions of the copies added, by shape.
        shares: Vec<f64>,
        /// Greatest number of free copies, those that are there already counted, by shape.
        at_most: Vec<usize>,
        /// Free copies that are there already, by shape (none where missing): they may be moved, but a layout that
        /// holds fewer is worse than any that does not, however many others it has.
        there: Vec<usize>,
    },
}

impl Aim {
    /// Free copies of a shape that a layout should hold before all others.
    pub(in crate::packing) fn least(&self, shape: usize) -> usize {
        match self {
            Self::Pack { .. } => 0,
            Self::TopUp { there, .. } => there.get(shape).copied().unwrap_or(0),
        }
    }
}

/// The whole task. Beds are filled in their order.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Shapes, known by their index.
    pub shapes: Vec<Shape>,
    /// Beds, known by their index.
    pub beds: Vec<Bed>,
    /// Least distance between two shadows, mm.
    pub gap_mm: f64,
    /// Least distance between two footings, mm.
    pub footing_gap_mm: f64,
    /// Footings may run into each other, but never into another shape's contact.
    pub footings_may_merge: bool,
    /// What makes a layout good.
    pub aim: Aim,
}
