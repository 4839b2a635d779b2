//! How the air moves past a part.

use serde::{Deserialize, Serialize};

/// Where the heat transfer from a layer to the air comes from: a choice of fan, or a number typed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fan {
    /// The number of the material, as typed.
    #[default]
    Typed,
    /// No part fan: the carriage stirs the air.
    Off,
    /// A part fan at low speed.
    Light,
    /// A strong part fan.
    Strong,
}

impl Fan {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Typed, Self::Off, Self::Light, Self::Strong];
    /// "typed", "no fan", "light fan", "strong fan".
    pub fn word(self) -> &'static str {
        match self {
            Self::Typed => "typed",
            Self::Off => "no fan",
            Self::Light => "light fan",
            Self::Strong => "strong fan",
        }
    }
    /// Speed of the air across the part, m/s; `None` where the heat transfer is typed. An assumption, no source: measure your own.
    pub fn air_m_s(self) -> Option<f64> {
        match self {
            Self::Typed => None,
            Self::Off => Some(0.25),
            Self::Light => Some(1.0),
            Self::Strong => Some(4.0),
        }
    }
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for it")]
    pub(super) fn is_typed(&self) -> bool {
        *self == Self::Typed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Material, Shop};

    /// A file from before there was a choice keeps its typed value, and one in which it is typed is written as before.
    #[test]
    fn old_files_keep_their_typed_value() {
        let mut material = Shop::starter().materials[0].clone();
        let old = serde_json::to_value(&material).expect("JSON");
        assert!(old.get("fan").is_none());
        let read: Material = serde_json::from_value(old).expect("a material");
        assert_eq!((read.fan, read.film_w_m2_k), (Fan::Typed, 50.0));
        for fan in Fan::ALL {
            material.fan = fan;
            let back: Material = serde_json::from_value(serde_json::to_value(&material).expect("JSON")).expect("back");
            assert_eq!(back, material);
        }
    }
}
