//! Numbers of production: what may fail, and what a failure costs.
//!
//! - [`Calendar`]: people's hours as seconds, clock times there and back; [`cool_down_s`], [`real_time_factors`]
//! - [`ShopFloor`]: a job's plates as runs
//! - [`sequence`]: runs of plates on machines, under people's hours
//! - [`UnitTimes`], [`effectiveness`], [`quality_ratio`], [`oee_index`]: figures after ISO 22400-2
//! - [`failing_chance`]: how likely a copy is to let go; [`expected_good`]: copies that come out good, where one that lets go spoils others

mod calendar;
mod cool_down;
mod expected_good;
mod failing_chance;
mod figures;
mod real_time;
pub mod sequence;
mod shop_floor;

pub use calendar::{Calendar, MOST_DAYS, spans_of, zone_of};
pub use cool_down::cool_down_s;
pub use expected_good::expected_good;
pub use failing_chance::failing_chance;
pub use figures::{UnitTimes, effectiveness, oee_index, quality_ratio};
pub use real_time::real_time_factors;
pub use shop_floor::{Loads, ShopFloor, bench, due_s, hand_work, plate_cool_s, whole_s};
