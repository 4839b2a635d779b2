//! What another minimum layer time would make of a plate.

use crate::document::Recipe;

use super::PlateEstimate;

/// Minimum layer times that are tried on every plate, s: common practice for small sections, no source.
pub const TRIED_S: [f64; 3] = [5.0, 10.0, 15.0];

/// A plate's time with another minimum layer time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MinimumTried {
    /// Minimum of every layer, s.
    pub minimum_s: f64,
    /// Time of the plate, s.
    pub time_s: f64,
    /// Number of layers that are slowed or short.
    pub short_layers: usize,
    /// What slowing to the minimum speed leaves unserved, s.
    pub unserved_s: f64,
}

/// The plate with `minimum_s` for every layer, whatever its recipe's is: slowed and, where the recipe waits, waited for.
pub fn minimum_tried(estimate: &PlateEstimate, recipe: &Recipe, minimum_s: f64) -> MinimumTried {
    let mut tried = MinimumTried {
        minimum_s,
        time_s: estimate.time_s - estimate.items.slowing_s - estimate.items.waiting_s,
        short_layers: 0,
        unserved_s: 0.0,
    };
    // A layer on which nothing is laid has nothing to cool.
    let laid = estimate.layers.iter().zip(&estimate.slack_s).filter(|(l, _)| l.volume_mm3 > 0.0);
    for (layer, &slack_s) in laid {
        let short_s = (minimum_s - layer.natural_s).max(0.0);
        let slowing_s = short_s.min(slack_s);
        tried.short_layers += usize::from(short_s > 1e-9);
        if recipe.wait_when_short {
            tried.time_s += short_s;
        } else {
            tried.time_s += slowing_s;
            tried.unserved_s += short_s - slowing_s;
        }
    }
    tried
}
