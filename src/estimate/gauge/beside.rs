//! A measurement beside an estimate, and the time factor that makes them agree.

use super::Measured;
use crate::estimate::PlateEstimate;

/// Least and greatest time factor that a recipe takes.
const FACTORS: (f64, f64) = (0.01, 100.0);

/// An estimate beside a measurement: a name, seconds estimated, seconds measured. Heating up and the end are left out, for no
/// file holds them.
pub fn beside(e: &PlateEstimate, m: &Measured) -> [(&'static str, f64, f64); 5] {
    let (t, f) = (&e.items, &m.items);
    let beads = t.walls_s + t.solid_s + t.infill_s + t.support_s + t.footing_s + t.slowing_s;
    let travel = t.travel_s + t.layer_change_s;
    [
        ("beads", beads, f.beads_s),
        ("travel", travel, f.travel_s),
        ("retraction", t.retraction_s, f.retraction_s),
        ("standing still", t.waiting_s, f.dwell_s),
        ("in all", e.time_s - t.heat_up_s - t.end_s, m.time_s()),
    ]
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
