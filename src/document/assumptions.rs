//! What is assumed about everything that pushes a part over.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::adhesion::ASSUMED;

/// What pushes a growing part, and how far a part must be from falling. The person's to change: no source gives them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assumptions {
    /// Sideways force of the nozzle at the topmost layer, N. Assumed: 0.5 to 5.
    pub sideways_n: f64,
    /// Safety factor on the adhesion.
    pub safety_factor: f64,
    /// Field name → where its value came from; assumed where it is missing.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub origins: BTreeMap<String, String>,
}

impl Default for Assumptions {
    fn default() -> Self {
        Self { sideways_n: 1.0, safety_factor: 2.0, origins: BTreeMap::new() }
    }
}

impl Assumptions {
    /// Where a value came from.
    pub fn origin(&self, field: &str) -> &str {
        self.origins.get(field).map_or(ASSUMED, String::as_str)
    }
    pub(super) fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use crate::document::{Assumptions, Job, Shop, file};

    #[test]
    fn old_files_open_and_new_ones_keep_what_was_typed() {
        let mut job = Job::with_shop("", &Shop::starter());
        let old = file::write(&job).expect("writes");
        assert!(!String::from_utf8_lossy(&old).contains("assumptions"));
        assert_eq!(file::read(&old, "old").expect("opens").assumptions, Assumptions::default());
        job.assumptions.sideways_n = 2.5;
        job.assumptions.origins.insert("sideways_n".into(), "spring scale, 2026-03-02".into());
        let back = file::read(&file::write(&job).expect("writes"), "new").expect("opens");
        assert_eq!(back.assumptions, job.assumptions);
        assert_eq!(back.assumptions.origin("safety_factor"), "assumed");
    }
}
