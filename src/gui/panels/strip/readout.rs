//! What the strip says in words.

use super::layer_at;
use crate::estimate::PlateEstimate;

/// "headroom at 34.2 mm: 0.41 · natural 6.1 s, needs 14.9 s · 4 copies growing".
pub(super) fn words(estimate: &PlateEstimate, cursor_mm: Option<f64>) -> String {
    let layers = &estimate.layers;
    let Some(z) = cursor_mm else {
        let least = layers.iter().filter_map(|l| Some((l.headroom?, l.top_mm))).min_by(|a, b| a.0.total_cmp(&b.0));
        return match least {
            Some((h, z)) => format!("least headroom {h:.2}, at {z:.1} mm · press to look into a height"),
            None => "no minimum layer time · press to look into a height".into(),
        };
    };
    let Some(layer) = layer_at(layers, z) else { return format!("{z:.1} mm: above everything") };
    let growing = layer.copies.len();
    let who = if growing == 1 { "1 copy growing".to_owned() } else { format!("{growing} copies growing") };
    let mut words = match (layer.headroom, layer.minimum_s) {
        (Some(h), Some(m)) => {
            format!("headroom at {z:.1} mm: {h:.2} · natural {:.1} s, needs {m:.1} s", layer.natural_s)
        }
        _ => format!("at {z:.1} mm: {:.1} s, no minimum", layer.natural_s),
    };
    if layer.slowing_s > 0.05 {
        words = format!("{words}, slowed to {:.1} s", layer.time_s - layer.waiting_s);
    }
    format!("{words} · {who}")
}
