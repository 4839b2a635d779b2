//! What the tool noticed, as plain values. The rules live where their knowledge is.
//!
//! - [`Finding`]: level, kind, copies, height, text, remedy
//! - [`Level`], [`FindingKind`], [`Remedy`]

mod kind;
mod level;
mod noticed;
mod remedy;

pub use kind::FindingKind;
pub use level::Level;
pub use noticed::Finding;
pub use remedy::Remedy;
