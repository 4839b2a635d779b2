//! Studies: one part on several footings, one plate beside itself, one part in several numbers.
//!
//! - `gather`: what a study starts from
//! - `run`: a study under way or ended ([`StudyRun`], [`StudyState`]); `begin`: begun, cancelled, heard; `stale`: whether it is still about the job as it is
//! - `take_over`: what a row becomes in the job

mod begin;
mod gather;
mod run;
mod stale;
mod take_over;

pub(in crate::session) use run::Studies;
pub use run::{StudyRun, StudyState, StudyWish};
