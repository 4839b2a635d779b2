//! A plate: document + outlines → margin rings, conflicts, clearances; the packing problem and back.
//!
//! - [`PartShape`], [`Shapes`]: what a part looks like from above

mod part_shape;

pub use part_shape::{PartShape, Shapes};
