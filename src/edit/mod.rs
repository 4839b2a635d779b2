//! The only way to change a [`Job`](crate::document::Job).
//!
//! - [`Command`]: what is to change, flat and serde
//! - [`apply`]: decides and applies; [`EditError`] says why not
//! - [`History`]: labelled undo and redo, gestures

mod apply;
mod command;
mod error;
mod history;
#[cfg(test)]
mod random_commands;

pub use apply::{Outcome, apply};
pub use command::{Command, NewPart, PlateSetup, PlateTarget, Put};
pub use error::EditError;
pub use history::History;
