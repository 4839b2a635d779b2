//! How long a search may take.

use std::time::Duration;

/// How long to search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArrangeLimits {
    /// Seed of the search.
    pub seed: u64,
    /// Rounds: the same seed and rounds give the same layout.
    pub rounds: Option<u64>,
    /// Time allowed.
    pub time: Option<Duration>,
}

impl Default for ArrangeLimits {
    fn default() -> Self {
        Self { seed: 1, rounds: None, time: Some(Duration::from_secs(10)) }
    }
}
