//! Where in the build a spool runs out.

use crate::document::Material;

use super::PlateEstimate;

/// Where a spool ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunsOut {
    /// Index of the layer during which it ends.
    pub layer: usize,
    /// Top side of that layer, mm above the bed.
    pub height_mm: f64,
    /// Seconds from switching on to the begin of that layer.
    pub after_s: f64,
}

/// Where a spool with `grams_left`, of one head, ends; `None` where it lasts. The purge comes first; layers count whole.
pub fn runs_out(estimate: &PlateEstimate, material: &Material, grams_left: f64) -> Option<RunsOut> {
    let of_layers: f64 = estimate.layers.iter().map(|l| l.volume_mm3).sum();
    let mut left_mm3 = grams_left * 1000.0 / material.density_g_cm3 - (estimate.of_one_head().volume_mm3 - of_layers);
    let mut after_s = estimate.items.heat_up_s;
    for (layer, l) in estimate.layers.iter().enumerate() {
        left_mm3 -= l.volume_mm3;
        // 1e-6 mm³ forgives the rounding of a spool that just lasts.
        if left_mm3 < -1e-6 {
            return Some(RunsOut { layer, height_mm: l.top_mm, after_s });
        }
        after_s += l.time_s;
    }
    None
}
