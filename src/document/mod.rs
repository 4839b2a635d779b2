//! What the person owns and saves: plain serde values with ids. A mesh is an id (content hash), never inside.
//!
//! - [`Job`]: the document; [`Part`] order lines; [`Plate`], [`struct@Copy`]; [`Margins`], [`Preferences`]
//! - [`Machine`], [`Material`], [`Recipe`]: what the shop has, each with plain numbers
//! - [`Fan`]: how the air moves past a part; [`Strength`], [`Adhesion`], [`PullTest`], [`Assumptions`]: what holds it up; [`CleanUp`]: hand work of one part
//! - [`Shifts`]: [`Hours`] in which somebody is there, [`Changeover`]; [`Downtime`] of a machine; [`RunState`]: how far a plate is
//! - [`Carriages`], [`Twin`]: two heads that print a plate twice; [`HeadClearance`]: the room a head needs
//! - [`Tally`], [`PlateOutcome`], [`Cause`]: what came out of each plate; [`Readiness`], [`ReadyItem`], [`ReadyLine`]: what is seen to before a plate starts
//! - [`Spool`], [`Sensor`], [`TailFixed`]: filament on the shelf
//! - [`Footing`], [`Pose`], [`Turns`]: how a part stands and is held
//! - [`MeshRef`], [`MeshId`]: where a mesh comes from; [`Mend`]: what is put right in our copy of it
//! - [`Shop`]: machines, materials, recipes and spools shared by jobs
//! - [`mod@file`]: the versioned file form and its migrations; [`check`]: what must hold in it, one rule a file
//! - [`limits`]: the least and greatest of every number; `ids`: typed ids

mod adhesion;
mod assumptions;
mod bed;
mod carriages;
mod cause;
mod changeover;
pub mod check;
mod clean_up;
mod clock;
mod copy;
mod downtime;
mod fan;
pub mod file;
mod footing;
mod head_clearance;
mod hours;
mod ids;
mod job;
pub mod limits;
mod machine;
mod margins;
mod material;
pub mod mend;
mod mesh_ref;
mod part;
mod plate;
mod plate_outcome;
mod pose;
mod preferences;
mod pull_test;
mod readiness;
mod ready_lines;
mod recipe;
mod run_state;
mod shifts;
mod shop;
mod spool;
mod strength;
mod tally;
mod turns;

pub use adhesion::{ASSUMED, ASSUMED_ADHESION_KPA, Adhesion};
pub use assumptions::Assumptions;
pub use bed::{BedShape, KeepOut};
pub use carriages::{Carriages, Twin};
pub use cause::Cause;
pub use changeover::Changeover;
pub use clean_up::CleanUp;
pub use clock::{ClockTime, NoClockTime};
pub use copy::Copy;
pub use downtime::Downtime;
pub use fan::Fan;
pub use footing::Footing;
pub use head_clearance::HeadClearance;
pub use hours::{Hours, OtherHours, Span, WEEKDAYS};
pub use ids::{CopyId, MachineId, MaterialId, MeshId, OutcomeId, PartId, PlateId, RecipeId, SpoolId};
pub use job::Job;
pub use machine::Machine;
pub use margins::Margins;
pub use material::Material;
pub use mend::Mend;
pub use mesh_ref::{FileUnit, MeshRef};
pub use part::{Part, letter};
pub use plate::Plate;
#[cfg(test)]
pub(crate) use plate_outcome::sample::outcome as sample_outcome;
pub use plate_outcome::{OutcomeCopy, OutcomePart, PlateOutcome};
pub use pose::Pose;
pub use preferences::{BedSide, PlateSpread, Preferences};
pub use pull_test::{Column, PullTest};
pub use readiness::{NozzleChange, Readiness, ReadyItem, ReadyLine, Tick};
pub use recipe::{LayerFloor, Recipe, Support};
pub use run_state::RunState;
pub use shifts::Shifts;
pub use shop::Shop;
pub use spool::{Sensor, Spool, TailFixed};
pub use strength::Strength;
pub use tally::Tally;
pub use turns::Turns;
