//! The views as tabs of a bound set of drawings, at the lower left. Views that do not work yet are not shown.
//!
//! - [`Tab`], [`tabs()`]: the tabs; [`studies`]: the view *Studies*; the sheet has a module of its own

pub(crate) mod studies;
mod tab;

pub(crate) use tab::{Tab, tabs};
