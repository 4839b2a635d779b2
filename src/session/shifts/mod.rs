//! Shifts: when the plates of the job run, on which machine, and who is there. Derived from the job, the hours and the estimates; never stored.
//!
//! - [`Timeline`]: the derived plan as plain values ([`AboutRun`], [`EndedRun`]); `derive`: how it comes about; `refresh`: kept up to date
//! - `clock`: the time now; [`StartNow`]: what to start on each free machine; `figures`: figures of the plan
//! - [`RunMark`], `marks`: a plate started, ended, failed, fixed; `move_run`: another machine, another place in the sequence
//! - `hours`: this shop's hours; `improve`, `equal_beds`: a better sequence, [`Improving`]; [`OneAtATime`]: each copy on a plate of its own, to compare with
//! - `records`: the plan for tables and calendars, [`TimelineFile`]; `starts`: when the plan starts; `bound`: how much earlier it could end, in words

mod bound;
mod clock;
mod derive;
mod drawn;
mod equal_beds;
mod figures;
mod hours;
mod improve;
mod improving;
mod mark;
mod marks;
mod move_run;
mod one_at_a_time;
mod records;
mod refresh;
mod start_now;
mod starts;
mod timeline;
mod timeline_file;

pub(in crate::session) use derive::Basis;
pub(in crate::session) use equal_beds::are_equal;
pub use improving::Improving;
pub use mark::RunMark;
pub use one_at_a_time::OneAtATime;
pub use start_now::{StartNow, WhatNow};
pub(in crate::session) use starts::start_of;
pub use timeline::{AboutRun, EndedRun, SpoolOut, Timeline};
pub use timeline_file::TimelineFile;
