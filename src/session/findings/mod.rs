//! What the session notices: one file a finding; `plate` and `job` bring them together; `shifts`: of the hours and the plan.

pub(super) mod beyond_beds;
mod cooling;
mod job;
mod mesh_fault;
mod missing;
mod mixed_heights;
mod overfull;
mod parted;
mod plate;
mod readiness;
pub(super) mod shifts;
pub(super) mod spool;
mod stability;
mod surplus;
mod tally;
mod tip_remedies;
mod unplaced;
