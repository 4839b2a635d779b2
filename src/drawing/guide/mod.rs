//! Drawings of the guide: an invented plate, its heights, its footings and its week, drawn as real ones are.
//!
//! - [`Figure`]: which; [`figure`]: drawn; `way`, `sheet`, `heights`, `footings`, `week`: one file each; `marks`: what they share

mod figure;
mod footings;
mod heights;
mod marks;
mod sheet;
mod way;
mod week;

pub use figure::{Figure, figure};
