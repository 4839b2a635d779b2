//! Lengths of a measurement beside those of an estimate.

use super::Measured;
use crate::estimate::PlateEstimate;

/// Of one head: a name, millimetres estimated where there is an estimate, millimetres measured.
pub fn lengths_beside(e: Option<&PlateEstimate>, m: &Measured) -> [(&'static str, Option<f64>, f64); 3] {
    [
        ("filament", e.map(|e| e.of_one_head().length_mm), m.filament_mm),
        ("path with a bead", e.map(|e| e.path.bead_mm), m.bead_mm),
        ("path without", e.map(|e| e.path.travel_mm), m.travel_mm),
    ]
}
