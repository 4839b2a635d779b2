//! Numbers of production: what may fail, and what a failure costs.
//!
//! - [`failing_chance`]: how likely a copy is to let go; [`expected_good`]: copies that come out good, where one that lets go spoils others

mod expected_good;
mod failing_chance;

pub use expected_good::expected_good;
pub use failing_chance::failing_chance;
