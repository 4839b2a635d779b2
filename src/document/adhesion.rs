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
