//! The timeline: a row a machine, plates as bars over hours and days.
//!
//! - [`DrawnTimeline`], [`DrawnRun`], [`DrawnRow`]: what is drawn; [`TimelineFrame`]: where seconds and rows lie on the paper
//! - `ground`: attended hours, downtimes, rows; `axis`: days and hours; `bars`: one run; [`timeline`]: all of it

mod axis;
mod bars;
mod frame;
mod ground;
mod run;
mod whole;

pub use frame::TimelineFrame;
pub use run::{DrawnRow, DrawnRun, DrawnTimeline, RunLook};
pub use whole::timeline;
