//! Runs of plates put in sequence on machines, under people's hours. Whole seconds from the start of the plan; no calendar, no plates.
//!
//! - [`Runs`]: what is asked: [`Bench`], [`Run`], [`OnBench`], [`Load`], [`HandWork`], [`Window`]
//! - [`Order`] → [`time`] → [`Plan`]: [`Timed`], [`NotRun`], [`Cost`]

#[cfg(test)]
mod fixtures;
mod order;
mod people;
mod plan;
mod problem;
mod timing;

pub use order::Order;
pub use plan::{Cost, NotRun, Plan, Timed};
pub use problem::{Bench, HandWork, Load, OnBench, Run, Runs, Window};
pub use timing::time;
