//! When somebody is there, and how long they are at a machine.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::{Changeover, Hours};

/// People's hours, changeovers, and when the work starts.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Shifts {
    /// When somebody is there.
    #[serde(default)]
    pub hours: Hours,
    /// Hand work between two plates.
    #[serde(default)]
    pub changeover: Changeover,
    /// When the first plates can start, local time; now where it is not set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<DateTime>,
}

impl Shifts {
    pub(super) fn is_default(&self) -> bool {
        *self == Self::default()
    }
}
