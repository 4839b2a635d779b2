//! The time factor that makes an estimate agree with a measurement.

use crate::estimate::PlateEstimate;

/// Least and greatest time factor that a recipe takes.
const FACTORS: (f64, f64) = (0.01, 100.0);

/// Time of a plate's estimate that a file measures as well: all but heating up, waiting and the end, s.
pub fn comparable_s(e: &PlateEstimate) -> f64 {
    e.time_s - e.items.heat_up_s - e.items.waiting_s - e.items.end_s
}

/// The time factor with which the estimate's motion and slowing take `moving_s`; `factor` is the one that it was made with.
/// `None` where there is nothing to compare, or no recipe takes such a factor.
///
/// A layer takes its natural time times the factor and, where that is short of its minimum, is slowed up to it as far as its
/// beads allow. How far is known where a layer is still short when slowed all it can be; elsewhere slowing is taken to serve.
pub fn time_factor(e: &PlateEstimate, factor: f64, moving_s: f64) -> Option<f64> {
    let time_s = |f: f64| -> f64 {
        let share = f / factor;
        e.layers
            .iter()
            .map(|l| {
                let natural = l.natural_s * share;
                let short = l.minimum_s.map_or(0.0, |m| (m - natural).max(0.0));
                let at_most = if l.unserved_s + l.waiting_s > 0.0 { l.slowing_s * share } else { f64::INFINITY };
                natural + short.min(at_most)
            })
            .sum()
    };
    let (mut low, mut high) = FACTORS;
    // No range holds NaN.
    if e.layers.is_empty() || !(time_s(low)..=time_s(high)).contains(&moving_s) {
        return None;
    }
    // Never falls with the factor, so halving finds it; it goes by ratios.
    for _ in 0..100 {
        let middle = (low * high).sqrt();
        if time_s(middle) < moving_s {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}
