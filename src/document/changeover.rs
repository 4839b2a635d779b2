//! Hand work between two plates.

use serde::{Deserialize, Serialize};

/// How long somebody is at a machine between two plates. All assumed until measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Changeover {
    /// Taking the parts off, s.
    pub removal_s: f64,
    /// Cleaning the surface, checking, starting the next plate, s.
    pub preparing_s: f64,
    /// Changing to another colour of the same material, s.
    pub colour_change_s: f64,
    /// Changing to another material, s.
    pub material_change_s: f64,
    /// Filament purged at a change of colour or material, g.
    pub change_waste_g: f64,
    /// Parts come off below this temperature of the bed, °C. 43: bare metal may be touched for eight hours (from memory, after
    /// ISO 13732-1).
    pub removal_c: f64,
}

impl Default for Changeover {
    fn default() -> Self {
        Self {
            removal_s: 300.0,
            preparing_s: 300.0,
            colour_change_s: 300.0,
            material_change_s: 600.0,
            change_waste_g: 5.0,
            removal_c: 43.0,
        }
    }
}
