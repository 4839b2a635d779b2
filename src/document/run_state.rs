//! How far a plate is in the shop.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// How far a plate is in the shop, and what was said about when it runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct RunState {
    /// Deal out leaves it as it is: its copies, its machine, its place in the sequence.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fixed: bool,
    /// Not to start earlier.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_before: Option<Timestamp>,
    /// When it was started.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub started: Option<Timestamp>,
    /// When it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended: Option<Timestamp>,
    /// It failed: what was on it is wanted again.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub failed: bool,
}

impl RunState {
    /// Nothing was said about it, and nothing has happened.
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }
    /// It runs now.
    pub fn is_running(&self) -> bool {
        self.started.is_some() && self.ended.is_none()
    }
    /// It has started, or is fixed: its copies stay.
    pub fn stays(&self) -> bool {
        self.fixed || self.started.is_some() || self.ended.is_some()
    }
}
