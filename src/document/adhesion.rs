//! How firmly a material sticks to a bed surface.

use serde::{Deserialize, Serialize};

use super::PullTest;

/// Adhesion where nobody has measured it, kPa. An assumption: no published value in kPa is at hand; planning takes 50 to 300.
pub const ASSUMED_ADHESION_KPA: f64 = 100.0;
/// Where a value came from that nobody has written down.
pub const ASSUMED: &str = "assumed";

/// How firmly a material sticks to one bed surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Adhesion {
    /// The surface in the shop's words, as machines name it; empty for every surface without an entry of its own.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub surface: String,
    /// Stress at which it lets go, kPa.
    pub kpa: f64,
    /// Where the value came from.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub origin: String,
    /// The pull test behind it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_test: Option<PullTest>,
}

impl Adhesion {
    /// What a pull test shows.
    pub fn tested(surface: &str, test: PullTest) -> Self {
        let origin = if test.date.is_empty() { "pull test".into() } else { format!("pull test of {}", test.date) };
        Self { surface: surface.into(), kpa: test.adhesion_kpa(), origin, pull_test: Some(test) }
    }
    /// "assumed", or what is written down.
    pub fn origin_words(&self) -> &str {
        if self.origin.is_empty() { ASSUMED } else { &self.origin }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Column, Material, Shop};

    #[test]
    fn the_nearest_entry_counts() {
        let mut pla = Shop::starter().materials[0].clone();
        assert_eq!(pla.adhesion_on("glass"), (100.0, "assumed"));
        pla.adhesions.push(Adhesion { surface: String::new(), kpa: 80.0, origin: String::new(), pull_test: None });
        let column = Column::Round { diameter_mm: 10.0 };
        let test = PullTest { date: "2026-03-02".into(), column, height_mm: 20.0, force_n: 1.5 };
        pla.adhesions.push(Adhesion::tested("glass", test));
        assert_eq!(pla.adhesion_on("textured steel"), (80.0, "assumed"));
        let (kpa, origin) = pla.adhesion_on("glass");
        // By hand: 1.5 · 20 / 98.1748.
        assert!((kpa - 305.577).abs() < 1e-3);
        assert_eq!(origin, "pull test of 2026-03-02");
        let back: Material = serde_json::from_value(serde_json::to_value(&pla).expect("JSON")).expect("back");
        assert_eq!(back, pla);
    }
}
