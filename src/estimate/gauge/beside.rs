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

/// Index of the estimate's layer that takes the least time, slowing and waiting included; `None` where there is no layer.
pub fn least_estimated_layer(e: &PlateEstimate) -> Option<usize> {
    (0..e.layers.len()).min_by(|&a, &b| e.layers[a].time_s.total_cmp(&e.layers[b].time_s))
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

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::estimate::{Filament, Items, LayerEstimate, PathLength, TourPlan};

    pub(crate) fn layer(natural_s: f64, minimum_s: f64, slowing_s: f64, unserved_s: f64) -> LayerEstimate {
        LayerEstimate {
            top_mm: 0.2,
            natural_s,
            minimum_s: Some(minimum_s),
            time_s: natural_s + slowing_s,
            slowing_s,
            waiting_s: 0.0,
            unserved_s,
            headroom: Some(natural_s / minimum_s),
            volume_mm3: 1.0,
            copies: [].into(),
        }
    }

    pub(crate) fn estimate(layers: Vec<LayerEstimate>) -> PlateEstimate {
        let filament = Filament { volume_mm3: 1.0, length_mm: 1.0, mass_g: 1.0, cost: 0.0 };
        PlateEstimate {
            time_s: 0.0,
            filament,
            heads: 1,
            path: PathLength::default(),
            items: Items::default(),
            layers,
            arrivals_s: Vec::new(),
            slack_s: Vec::new(),
            tours: TourPlan::default(),
        }
    }

    fn factor(e: &PlateEstimate, made_with: f64, moving_s: f64) -> f64 {
        time_factor(e, made_with, moving_s).expect("there is one")
    }

    /// By hand: 20 s of layers that need no slowing, one of 10 s slowed to 14 s, one of 5 s that can be slowed to 8 s of 20 s.
    #[test]
    fn by_hand() {
        let e = estimate(vec![layer(20.0, 8.0, 0.0, 0.0), layer(10.0, 14.0, 4.0, 0.0), layer(5.0, 20.0, 3.0, 12.0)]);
        let near = |v: f64, wanted: f64| assert!((v - wanted).abs() < 1e-9, "{v} is not {wanted}");
        assert_eq!((least_estimated_layer(&e), least_estimated_layer(&estimate(Vec::new()))), (Some(2), None));
        near(factor(&e, 1.0, 42.0), 1.0);
        // 20 f + max(10 f, 14) + min(max(5 f, 20), 8 f): at 1.2 it is 24 + 14 + 9.6, at 2 it is 40 + 20 + 16.
        near(factor(&e, 1.0, 47.6), 1.2);
        near(factor(&e, 1.0, 76.0), 2.0);
        // The same layers, made with a factor of 2 from half the times.
        near(factor(&e, 2.0, 47.6), 2.4);
        for moving_s in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e9] {
            assert_eq!(time_factor(&e, 1.0, moving_s), None);
        }
        assert_eq!(time_factor(&estimate(Vec::new()), 1.0, 0.0), None);
    }
}
