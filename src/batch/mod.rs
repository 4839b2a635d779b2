//! Numbers of production: what may fail, what a failure costs, and plates under people's hours.
//!
//! What may fail:
//! - [`failing_chance`]: how likely a copy is to let go; [`expected_good`]: copies that come out good, where one that lets go spoils others
//! - [`Spoils`]: what a failure spoils; [`good_each_alone`], [`good_all_or_none`], [`good_in_turn`], [`all_good`], [`with_common_cause`], [`chance_without_failure`]: good copies
//!   expected where all succeed with the same chance
//! - [`binomial_shares`], [`at_least`], [`starts_needed`]: the binomial and the negative binomial distribution
//! - [`shares_all_or_none`], [`shares_in_turn`], [`shares_within_reach`]: how many of a plate come out good; [`plates_needed`]: plates to start for a
//!   wanted number; [`best_count_all_or_none`]: a rule of thumb for the best number
//!
//! What the tally teaches:
//! - [`tally`]: failure rates, time factors and places, each with its interval
//!
//! Under people's hours:
//! - [`Calendar`]: people's hours as seconds, clock times there and back; [`cool_down_s`], [`real_time_factors`]
//! - [`ShopFloor`]: a job's plates as runs
//! - [`sequence`]: runs of plates on machines, under people's hours
//! - [`repeated_plate`], [`RepeatedPlate`], [`Repeated`], [`Run`], [`NoChangeover`]: the same plate again and again
//! - [`TimeSpread`]: how sure a plate is to end by a time; [`normal_share`], [`normal_quantile`]
//! - [`UnitTimes`], [`effectiveness`], [`quality_ratio`], [`oee_index`]: figures after ISO 22400-2

mod calendar;
mod cool_down;
mod end_by;
mod expected_good;
mod failing_chance;
mod figures;
mod normal;
mod real_time;
mod repeated_plate;
pub mod sequence;
mod shop_floor;
pub mod tally;
mod yield_binomial;
mod yield_good;
mod yield_plates;
mod yield_rate;
mod yield_shares;
mod yield_spoils;
mod yield_starts;

pub use calendar::{Calendar, MOST_DAYS, spans_of, zone_of};
pub use cool_down::cool_down_s;
pub use end_by::TimeSpread;
pub use expected_good::expected_good;
pub use failing_chance::failing_chance;
pub use figures::{UnitTimes, effectiveness, oee_index, quality_ratio};
pub use normal::{normal_quantile, normal_share};
pub use real_time::real_time_factors;
pub use repeated_plate::{NoChangeover, Repeated, RepeatedPlate, Run, repeated_plate};
pub use shop_floor::{Loads, ShopFloor, bench, due_s, hand_work, plate_cool_s, whole_s};
pub use yield_binomial::{at_least, binomial_shares};
pub use yield_good::{
    all_good, chance_without_failure, good_all_or_none, good_each_alone, good_in_turn, with_common_cause,
};
pub use yield_plates::plates_needed;
pub use yield_rate::best_count_all_or_none;
pub use yield_shares::{shares_all_or_none, shares_in_turn, shares_within_reach};
pub use yield_spoils::Spoils;
pub use yield_starts::starts_needed;
