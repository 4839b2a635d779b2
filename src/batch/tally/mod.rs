//! What the tally teaches, each with its interval. Nothing here is applied: it is offered.
//!
//! - [`learned`], [`Learned`]: everything of one tally
//! - [`Rate`], [`jeffreys`]: how often copies fail; [`shrunk_rates`], [`RatePrior`], [`RateMethod`], [`ShrunkRate`]: the same of several groups, drawn towards each other
//! - [`NextPlate`]: what the next plate may bring
//! - [`FailureGroup`], [`GroupOf`]: copies that failed, by part, machine, material and footing
//! - [`TimeFactor`], [`FactorPrior`], [`TimeRow`]: actual ÷ estimated time; [`Spread`]: how far times are from each other
//! - [`HalfTest`], [`Spot`], [`Places`]: where on the bed copies fail; [`SurfaceTrend`], [`SurfaceBin`]: whether they do more often on an old surface
//! - [`fisher_exact`], [`beta_share`], [`beta_quantile`], [`t_quantile`], [`chi_square_quantile`]: what the numbers are made with

mod beta;
mod chi_square;
mod failures;
mod fisher;
mod learned;
mod next_plate;
mod places;
mod rate;
mod shrunk;
mod spread;
mod surface;
mod time_factor;
mod times;

pub use beta::{beta_quantile, beta_share, t_quantile};
pub use chi_square::chi_square_quantile;
pub use failures::{FailureGroup, Failures, GroupOf};
pub use fisher::fisher_exact;
pub use learned::{Learned, learned};
pub use next_plate::NextPlate;
pub use places::{HalfTest, Places, Spot};
pub use rate::{Rate, jeffreys};
pub use shrunk::{RateMethod, RatePrior, ShrunkRate, shrunk_rates};
pub use spread::Spread;
pub use surface::{SurfaceBin, SurfaceTrend};
pub use time_factor::{FactorPrior, TimeFactor};
pub use times::TimeRow;
