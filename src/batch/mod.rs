//! Numbers of production: what may fail, what a failure costs, and what comes of a plate under people's hours.
//!
//! What may fail:
//! - [`failing_chance`]: how likely a copy is to let go; [`expected_good`]: copies that come out good, where one that lets go spoils others
//! - [`Spoils`]: what a failure spoils; [`good_each_alone`], [`good_all_or_none`], [`good_in_turn`], [`all_good`], [`with_common_cause`]: good copies
//!   expected where all succeed with the same chance
//! - [`binomial_shares`], [`at_least`], [`starts_needed`]: the binomial and the negative binomial distribution
//! - [`shares_all_or_none`], [`shares_in_turn`], [`shares_within_reach`]: how many of a plate come out good; [`plates_needed`]: plates to start for a
//!   wanted number; [`best_count_all_or_none`]: a rule of thumb for the best number
//!
//! Under people's hours:
//! - [`Attended`], [`attended`], [`next_week`], [`time_zone`]: when somebody is there, in seconds
//! - [`repeated_plate`], [`RepeatedPlate`], [`Repeated`], [`Run`], [`NoChangeover`]: the same plate again and again; [`bed_cooling_s`]
//! - [`TimeSpread`]: how sure a plate is to end by a time; [`normal_share`], [`normal_quantile`]

mod attended;
mod end_by;
mod expected_good;
mod failing_chance;
mod normal;
mod repeated_plate;
mod yield_binomial;
mod yield_good;
mod yield_plates;
mod yield_rate;
mod yield_shares;
mod yield_spoils;
mod yield_starts;

pub use attended::{Attended, attended, next_week, time_zone};
pub use end_by::TimeSpread;
pub use expected_good::expected_good;
pub use failing_chance::failing_chance;
pub use normal::{normal_quantile, normal_share};
pub use repeated_plate::{NoChangeover, Repeated, RepeatedPlate, Run, bed_cooling_s, repeated_plate};
pub use yield_binomial::{at_least, binomial_shares};
pub use yield_good::{all_good, good_all_or_none, good_each_alone, good_in_turn, with_common_cause};
pub use yield_plates::plates_needed;
pub use yield_rate::best_count_all_or_none;
pub use yield_shares::{shares_all_or_none, shares_in_turn, shares_within_reach};
pub use yield_spoils::Spoils;
pub use yield_starts::starts_needed;
