//! What lies round the sheet.
//!
//! - Left: [`order`], [`margins`], [`impose`], [`docket`]
//! - Right: [`particulars`], [`hours`], [`findings`]
//! - Below: [`strip`], layer time over height
//! - [`table`]: lines of tables; [`notice`]: what just happened

pub(crate) mod docket;
pub(crate) mod findings;
pub(crate) mod hours;
pub(crate) mod impose;
pub(crate) mod margins;
pub(crate) mod notice;
pub(crate) mod order;
pub(crate) mod particulars;
pub(crate) mod strip;
mod table;
