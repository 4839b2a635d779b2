//! A height strip of an invented plate.

use super::marks::paper;
use crate::drawing::{Scene, StripLayer, height_strip};

/// Thickness of what is drawn as one layer, mm; number of them.
const LAYER_MM: f64 = 0.5;
const LAYERS: u32 = 96;
/// Minimum layer time, s.
const MINIMUM_S: f64 = 14.0;

pub(super) fn heights(width_mm: f64, height_mm: f64) -> Scene {
    // Below so much it has no room for its own axes.
    if width_mm < 40.0 || height_mm < 20.0 {
        return Scene { view: paper(width_mm, height_mm), marks: Vec::new() };
    }
    let layers: Vec<StripLayer> = (1..=LAYERS).map(|n| layer(f64::from(n) * LAYER_MM)).collect();
    height_strip(&layers, Some(24.0), width_mm, height_mm)
}

/// Nine copies end at 12 mm, four at 34 mm, one goes on.
fn layer(z_mm: f64) -> StripLayer {
    let (copies, natural_s) = match z_mm {
        z if z <= 2.0 => (9, 46.0),
        z if z <= 12.0 => (9, 34.0),
        z if z <= 34.0 => (4, 19.0),
        _ => (1, 8.0),
    };
    StripLayer { z_mm, natural_s, minimum_s: Some(MINIMUM_S), copies }
}
