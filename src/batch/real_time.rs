//! How far real times are from estimates.

use crate::document::Assumptions;

/// The interval in which 95 of 100 plates end, as factors on an estimate: 1 ÷ (1 + spread) to 1 + spread. Real time ÷ estimate is taken as
/// log-normal with median 1. An assumption until real times are known.
pub fn real_time_factors(assumed: &Assumptions) -> (f64, f64) {
    let spread = assumed.time_spread_percent / 100.0;
    let most = 1.0 + if spread.is_finite() { spread.max(0.0) } else { 0.0 };
    (1.0 / most, most)
}
