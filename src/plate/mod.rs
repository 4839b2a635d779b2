//! A plate: document + outlines → margin rings, conflicts, clearances; the packing problem and back.
//!
//! - [`PartShape`], [`Shapes`]: what a part looks like from above; [`made`]: how many of it the plates make
//! - [`PreparedShape`], [`Prepared`]: its rings before placing, kept so that a drag computes none; [`Rings`], [`rings`]
//! - [`pitch_mm`]: how close copies of a part lie side by side
//! - [`rectangles_in_rows`]: how many rectangles lie in rows
//! - [`Room`]: where on a bed things may lie; [`fits`]: does a part fit a bed at all?
//! - [`PlateTwin`]: a plate that two carriages print twice at once; [`twin_findings`]: what a person should know of it
//! - [`skirt_loops`]: the lines of a skirt round everything, which also takes room of its own
//! - [`Conflict`], [`conflicts`]; [`Checker`] answers for copies on the move
//! - [`move_apart`] clears a conflict; [`nearest_free`], [`push_aside`]: a drop that ends in none;
//!   [`nearest_where`]: a place that a further rule allows; [`prepare_push`]: what the latter can work out beforehand
//! - [`findings`]: conflicts in words
//! - [`pack_task`], [`top_up_task`], [`order_task`]: a packing problem and its [`Mapping`] back to copies and plates

mod apart;
mod checker;
mod conflict;
mod findings;
mod fit;
mod mapping;
mod nearest_where;
mod part_aside;
mod part_shape;
mod pitch;
mod prepared;
mod rectangles;
mod rings;
mod room;
#[cfg(test)]
mod samples;
mod skirt;
mod task;
mod twin;
#[cfg(test)]
mod twin_cases;
mod twin_findings;

pub use apart::{move_apart, nearest_free, push_aside};
pub use checker::{Checker, conflicts};
pub use conflict::{Conflict, ConflictKind};
pub use findings::findings;
pub use fit::{Fit, fits, fits_half};
pub use mapping::{Mapping, NewPlate, Placed, PlacedCopy, PlacedPlate, Target, Unplaced};
pub use nearest_where::nearest_where;
pub use part_aside::prepare_push;
pub use part_shape::{PartShape, Shapes, made};
pub use pitch::pitch_mm;
pub use prepared::{Prepared, PreparedShape, rings};
pub use rectangles::rectangles_in_rows;
pub use rings::Rings;
pub use room::Room;
pub use skirt::skirt_loops;
pub use task::{Task, TaskError, order_task, pack_task, top_up_task};
pub use twin::PlateTwin;
pub use twin_findings::twin_findings;
