//! When a machine is not to be had.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

/// A time in which a machine prints nothing: maintenance, a repair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Downtime {
    /// Beginning, local time.
    pub from: DateTime,
    /// End, local time.
    pub to: DateTime,
    /// "new nozzle".
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}
