//! The sheet, the height strip, the run sheet as plain strokes, fills and text: window and writers draw the same.
//!
//! - [`Scene`] of [`Mark`]s in millimetres; [`Ink`] names what a colour means

mod scene;

pub use scene::{Anchor, Dash, Hatch, Ink, Mark, Scene};
