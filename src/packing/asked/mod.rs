//! The packing problem and its answers, as plain values.
//!
//! - [`Problem`]: [`Shape`]s, [`Bed`]s, clearances and the [`Aim`]
//! - [`Twin`]: a copy that implies another; `untwinned`: a task with twins as one without
//! - [`Layout`]: where each free copy lies; [`Item`]
//! - [`Bound`]: what no layout can beat; [`BoundKind`]

mod bound;
mod keep;
mod layout;
mod problem;
mod twin;
mod untwinned;

pub use bound::{Bound, BoundKind};
pub use keep::{gain, kept, laid_on};
pub use layout::{Item, Layout};
pub use problem::{Aim, Bed, Problem, Shape};
pub use twin::Twin;
