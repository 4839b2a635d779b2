//! A pull test: what a known column holds on a bed.

use std::f64::consts::PI;

use serde::{Deserialize, Serialize};

/// Contact of the column that was pushed over.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Column {
    /// A round one: the direction of the push does not matter.
    Round {
        /// Diameter.
        diameter_mm: f64,
    },
    /// A rectangular one, pushed square on a face.
    Rectangle {
        /// Side along the push.
        along_mm: f64,
        /// Side across the push.
        across_mm: f64,
    },
}

/// The least force that tips a column off its bed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PullTest {
    /// When, as written (ISO 8601 date).
    pub date: String,
    /// Contact of the column.
    pub column: Column,
    /// Height of the push above the bed, mm.
    pub height_mm: f64,
    /// Least force that tipped it, N.
    pub force_n: f64,
}

impl Column {
    /// Section modulus in the direction of the push, mm³. Handbook: π d³/32, b h²/6.
    pub fn modulus_mm3(self) -> f64 {
        match self {
            Self::Round { diameter_mm } => PI * diameter_mm.powi(3) / 32.0,
            Self::Rectangle { along_mm, across_mm } => across_mm * along_mm * along_mm / 6.0,
        }
    }
}

impl PullTest {
    /// Adhesion that the test shows, kPa: σ = F z / S. The column's weight is left out (a few hundredths of a newton).
    pub fn adhesion_kpa(&self) -> f64 {
        self.force_n * self.height_mm / self.column.modulus_mm3() * 1000.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn test(column: Column) -> f64 {
        PullTest { date: "2026-03-02".into(), column, height_mm: 100.0, force_n: 1.0 }.adhesion_kpa()
    }

    /// By hand: 1 N at 100 mm on 10 × 10 mm is 100 / 166.667 = 0.6 MPa face-on; on a round column of 10 mm 100 / 98.1748.
    #[test]
    fn adhesion_of_known_columns() {
        assert!((test(Column::Rectangle { along_mm: 10.0, across_mm: 10.0 }) - 600.0).abs() < 1e-9);
        assert!((test(Column::Round { diameter_mm: 10.0 }) - 1018.59).abs() < 0.01);
        assert!((test(Column::Rectangle { along_mm: 5.0, across_mm: 20.0 }) - 1200.0).abs() < 1e-9);
    }
}
