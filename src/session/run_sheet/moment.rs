//! Clock times in a print.

use crate::{
    batch::{Calendar, sequence::Timed},
    estimate::PlateEstimate,
    session::Timeline,
    words,
};

/// When things happen in a print: by the clock where the plate is in a plan that somebody asked for, else from the start.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moments<'a> {
    /// The timeline and the run in it.
    plan: Option<(&'a Timeline, &'a Timed)>,
}

impl<'a> Moments<'a> {
    pub(super) fn new(plan: Option<(&'a Timeline, &'a Timed)>) -> Self {
        Self { plan }
    }
    /// The run in the plan.
    pub(super) fn plan(&self) -> Option<(&'a Timeline, &'a Timed)> {
        self.plan
    }
    /// "Tue 02:10", or "3 h 10 min after the start".
    pub(super) fn words(&self, after_s: f64) -> String {
        match self.plan {
            Some((t, timed)) => t.calendar.words(timed.print.from_s.saturating_add(after_s as i64)),
            None => format!("{} after the start", words::time(after_s)),
        }
    }
}

/// With its date: "Mon 8 Mar 08:05".
pub(super) fn dated(calendar: &Calendar, s: i64) -> String {
    calendar.at(s).strftime("%a %-d %b %H:%M").to_string()
}

/// Seconds from switching on until the build is so high, mm: the end of the last layer below it.
pub(super) fn after_s(e: &PlateEstimate, height_mm: f64) -> f64 {
    let below = e.layers.iter().take_while(|l| l.top_mm <= height_mm + 1e-6);
    e.items.heat_up_s + below.map(|l| l.time_s).sum::<f64>()
}
