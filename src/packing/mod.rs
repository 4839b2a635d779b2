//! Pure search: Problem + seed + Watch → Layout. Knows polygons, not parts.
//!
//! - [`Problem`]: [`Shape`]s, [`Bed`]s, clearances and the [`Aim`]
//! - [`Layout`]: where each free copy lies; [`Item`]
//! - [`Bound`]: what no layout can beat

mod bound;
mod layout;
mod problem;

pub use bound::{Bound, BoundKind};
pub use layout::{Item, Layout};
pub use problem::{Aim, Bed, Problem, Shape};
