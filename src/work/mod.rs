//! Long work, off the window's thread.
//!
//! - [`Request`] and [`Answer`]: what is asked, what comes back
//! - [`Event`]: begin, progress, improved, end; [`Ticket`]: which work, its cancel flag, what problem it solved
//! - [`Runner`]: on threads, or inline

mod deadline;
mod event;
mod request;
mod runner;
mod ticket;

pub use deadline::Deadline;
pub use event::{Answer, Event};
pub use request::{Lane, Request};
pub use runner::{Runner, Wake};
pub use ticket::{Ticket, TicketId};
