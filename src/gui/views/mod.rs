//! The views as tabs of a bound set of drawings, at the lower left. Views that do not work yet are not shown.
//!
//! - [`Tab`], [`tabs()`]: the tabs; [`studies`], [`shifts`]: the views *Studies* and *Shifts*; the sheet has a module of its own

pub(crate) mod shifts;
pub(crate) mod studies;
mod tab;

pub(crate) use tab::{Tab, tabs};
