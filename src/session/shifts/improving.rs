//! A search for a better sequence, under way.

use std::time::Instant;

use super::Timeline;
use crate::work::Ticket;

/// A search for a better sequence, under way.
#[derive(Debug)]
pub struct Improving {
    pub(in crate::session) ticket: Ticket,
    /// What it started from.
    pub(in crate::session) from: Timeline,
    /// Share of its rounds done, 0 to 1.
    pub(in crate::session) done: f64,
    /// When it began, and when it ends by itself.
    pub(in crate::session) time: (Instant, Option<Instant>),
}

impl Improving {
    /// Share done, 0 to 1: of its rounds, or of its time.
    pub fn done(&self) -> f64 {
        let (begun, by) = self.time;
        let of_time = by.map_or(0.0, |by| {
            let whole = by.saturating_duration_since(begun).as_secs_f64().max(1e-3);
            begun.elapsed().as_secs_f64() / whole
        });
        self.done.max(of_time).clamp(0.0, 1.0)
    }
}
