//! The order dealt out.
//!
//! - [`Dealing`]: under way; `begin`: begun, cancelled, heard; `gather`: what it starts from; `end`: taken over, or refused where the job has
//!   changed meanwhile
//! - `take_over`: a dealing as a change of the job; [`DealRecord`]: what it came to, by clock times

mod begin;
mod dealing;
mod end;
mod gather;
mod record;
mod take_over;

pub use dealing::Dealing;
pub(in crate::session) use dealing::Deals;
pub use record::{DealRecord, DealRow, LateLine};
