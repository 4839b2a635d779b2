//! Runs of plates put in sequence on machines, under people's hours. Whole seconds from the start of the plan; no calendar, no plates.
//!
//! - [`Runs`]: what is asked: [`Bench`], [`Run`], [`OnBench`], [`Load`], [`HandWork`], [`Window`]
//! - [`improve`]: a better order, by search; [`finish_bound_s`], [`late_bound_s`]: what no plan can beat
//! - [`Order`] → [`time`] → [`Plan`]: [`Timed`], [`NotRun`], [`Cost`]

mod bound;
mod dispatch;
#[cfg(test)]
mod fixtures;
mod improve;
mod order;
mod people;
mod plan;
mod problem;
#[cfg(test)]
mod random_runs;
mod smooth;
mod timing;

pub use bound::{finish_bound_s, late_bound_s};
pub use improve::improve;
pub use order::Order;
pub use plan::{Cost, NotRun, Plan, Timed};
pub use problem::{Bench, HandWork, Load, OnBench, Run, Runs, Window};
pub use timing::time;
