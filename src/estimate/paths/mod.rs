//! The paths of one layer of a part, as a head would travel them.
//!
//! - [`walls`]: as many beads across as a place is wide, of [`ring`]s and [`strip`]s
//! - [`thin`]: which places are thinner than so much
//! - [`cover`]: which part of a layer lies bare above or below
//! - [`scan`]: solid and sparse infill as scan lines
//! - [`order`]: which path next: the nearest
//! - [`air`]: does a move cross open air?
//! - [`layer`]: all of it in order, timed

mod air;
mod cover;
mod layer;
mod order;
mod ring;
mod scan;
mod strip;
mod thin;
mod walls;

pub(super) use cover::{Cover, Covered};
pub(super) use layer::Tracer;
pub use layer::{LayerWork, Run};
pub(super) use order::Nearest;
