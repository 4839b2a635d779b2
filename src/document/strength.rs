//! Strength, stiffness and thermal expansion of a material.

use serde::{Deserialize, Serialize};

/// What a material bears, how it gives way and how it shrinks. All of it is assumed until somebody has measured it: printed parts
/// are weaker than the tables say, across their layers above all.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Strength {
    /// Flexural strength, MPa.
    pub flexural_mpa: f64,
    /// Modulus of elasticity, MPa.
    pub modulus_mpa: f64,
    /// Linear thermal expansion, 10⁻⁶/K (µm per metre and kelvin).
    pub expansion_um_m_k: f64,
}

impl Default for Strength {
    /// PLA: flexural strength and modulus from published property tables, expansion from memory.
    fn default() -> Self {
        Self { flexural_mpa: 80.0, modulus_mpa: 3500.0, expansion_um_m_k: 68.0 }
    }
}

impl Strength {
    pub(super) fn is_default(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use crate::document::{Material, Shop};

    /// A file from before there were such numbers opens, and one that keeps them is written as before.
    #[test]
    fn old_files_open_with_what_is_assumed() {
        let material = Shop::starter().materials[0].clone();
        let old = serde_json::to_value(&material).expect("JSON");
        assert!(old.get("strength").is_none() && old.get("adhesions").is_none());
        let read: Material = serde_json::from_value(old).expect("a material");
        assert_eq!(read, material);
    }
}
