//! What a measurement takes for granted until the file says otherwise.

use crate::document::Recipe;
use crate::estimate::{RecipeFault, check_recipe};

/// What P after G4 counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DwellUnit {
    /// Milliseconds, as on most filament machines (common practice, no source).
    #[default]
    Milliseconds,
    /// Seconds, as in the NIST report.
    Seconds,
}

/// What a measurement takes for granted until the file says otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Basis {
    /// Acceleration while a bead is laid, mm/s².
    pub acceleration_mm_s2: f64,
    /// Acceleration of all other moves, mm/s².
    pub travel_acceleration_mm_s2: f64,
    /// Junction deviation, mm.
    pub junction_deviation_mm: f64,
    /// Speed of beads before the file gives any, mm/s.
    pub bead_mm_s: f64,
    /// Speed of other moves before the file gives any, and of homing, mm/s.
    pub travel_mm_s: f64,
    /// Speed of drawing back before the file gives any, mm/s.
    pub retraction_mm_s: f64,
    /// What P after G4 counts.
    pub dwell: DwellUnit,
}

impl Basis {
    /// A recipe's numbers.
    ///
    /// # Errors
    /// A number that [`check_recipe`] refuses.
    pub fn of(r: &Recipe, dwell: DwellUnit) -> Result<Self, RecipeFault> {
        check_recipe(r)?;
        Ok(Self {
            acceleration_mm_s2: r.acceleration_mm_s2,
            travel_acceleration_mm_s2: r.travel_acceleration_mm_s2,
            junction_deviation_mm: r.junction_deviation_mm,
            bead_mm_s: r.wall_mm_s,
            travel_mm_s: r.travel_mm_s,
            retraction_mm_s: r.retraction_mm_s,
            dwell,
        })
    }
}
