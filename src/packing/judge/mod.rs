//! Is a layout valid?
//!
//! - [`verify`]: every [`Breach`] of a layout, independent of the search
//! - `quick_check`: near pairs alone, exactly, before a layout is shown; `ground`: a bed's borders, for quick answers

pub(super) mod ground;
pub(super) mod quick_check;
mod verify;

pub use verify::{Breach, TOLERANCE_MM, verify};
