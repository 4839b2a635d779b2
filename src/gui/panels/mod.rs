//! What lies round the sheet.
//!
//! - [`left`]: [`order`], [`margins`], [`impose`] with [`end_by`], [`docket`]
//! - Right: [`particulars`] or [`tally`], [`hours`], [`gauge`] with [`layer_times`], [`findings`]
//! - Below: [`strip`], layer time and headroom over height
//! - [`table`]: lines of tables; [`notice`]: what just happened

mod deal;
mod docket;
mod end_by;
pub(crate) mod findings;
pub(crate) mod gauge;
pub(crate) mod handing_over;
pub(crate) mod hours;
mod impose;
mod layer_times;
pub(crate) mod left;
mod margins;
pub(crate) mod notice;
mod order;
pub(crate) mod particulars;
pub(crate) mod strip;
pub(crate) mod table;
pub(crate) mod tally;
