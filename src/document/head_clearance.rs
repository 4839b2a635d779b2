//! What the head needs round a part that is printed while others stand finished.

use serde::{Deserialize, Serialize};

/// The room that a machine's head needs, where copies are printed one after another.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct HeadClearance {
    /// Farthest from the nozzle that the head reaches sideways near the bed, mm.
    pub radius_mm: f64,
    /// Height of the gantry above the nozzle's tip, mm: nothing that stands finished may be higher.
    pub under_gantry_mm: f64,
}
