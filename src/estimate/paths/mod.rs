//! The paths of one layer of a part, as a head would travel them.
//!
//! - [`walls`]: loops by inset, single beads for what is thinner
//! - [`cover`]: which part of a layer lies bare above or below
//! - [`scan`]: solid and sparse infill as scan lines
//! - [`order`]: which path next: the nearest
//! - [`air`]: does a move cross open air?
//! - [`layer`]: all of it in order, timed

mod air;
mod cover;
mod layer;
mod order;
mod scan;
mod walls;

pub(super) use cover::{Cover, Covered};
pub(super) use layer::Tracer;
pub use layer::{LayerWork, Run};
pub(super) use order::Nearest;
