//! Hand work on one part's footings.

use serde::{Deserialize, Serialize};

/// Hand work to clean one copy of a part of its footing, where the part differs from the job's assumption. A ring comes off its brim in one
/// turn of the knife; a part full of slots takes ten times as long.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct CleanUp {
    /// Of a brim, s; `None`: as the job assumes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub brim_s: Option<f64>,
    /// Of a raft, s; `None`: as the job assumes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub raft_s: Option<f64>,
}

impl CleanUp {
    /// Does the part differ in nothing?
    pub fn is_as_assumed(&self) -> bool {
        *self == Self::default()
    }
}
