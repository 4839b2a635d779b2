//! Searches under way, and what they found out.
//!
//! - [`Arranging`], [`Standing`], [`ArrangeLimits`]: Pack or Top up; `begin`, `end`, `as_command`: a layout as a change of the job
//! - [`EndBy`], [`When`], [`InTimeTold`], `in_time`: as many copies as end by a time
//! - `concern`, `fingerprint`: what a search depends on; `known`, `bounds`: what no layout can beat; `overfull`

mod arranging;
pub(super) mod as_command;
mod begin;
mod bounds;
mod concern;
mod end;
mod end_by;
pub(super) mod fingerprint;
mod in_time;
mod in_time_told;
pub(super) mod known;
mod limits;
pub(super) mod overfull;

pub use arranging::{Arranging, Standing};
pub use end_by::{Between, EndBy, When};
pub use in_time_told::InTimeTold;
pub use limits::ArrangeLimits;
