//! Searches under way, and what they found out.
//!
//! - [`Arranging`], [`Standing`], [`ArrangeLimits`]: Pack or Top up; `begin`, `end`, `as_command`: a layout as a change of the job
//! - `concern`, `fingerprint`: what a search depends on; `known`, `bounds`: what no layout can beat; `overfull`

mod arranging;
pub(super) mod as_command;
mod begin;
mod bounds;
mod concern;
mod end;
pub(super) mod fingerprint;
pub(super) mod known;
mod limits;
pub(super) mod overfull;

pub use arranging::{Arranging, Standing};
pub use limits::ArrangeLimits;
