//! What is drawn of a timeline.

use std::sync::Arc;

use crate::batch::{Calendar, sequence::Window};

/// How far a plate is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RunLook {
    /// Not started.
    #[default]
    Planned,
    /// It runs.
    Running,
    /// It has ended.
    Ended,
    /// It has failed.
    Failed,
}

/// One plate on the timeline. Times in s from the start of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnRun {
    /// Its number: "3".
    pub name: String,
    /// "12 copies".
    pub copies: String,
    /// Its row, from 0 at the top.
    pub row: usize,
    /// Hue number of its part.
    pub hue: usize,
    /// How far it is.
    pub look: RunLook,
    /// Somebody prepares it.
    pub preparing: Option<Window>,
    /// It prints.
    pub print: Window,
    /// The bed is cool enough from here.
    pub cool_s: Option<i64>,
    /// Somebody takes the parts off.
    pub removal: Option<Window>,
    /// When 95 of 100 such prints end.
    pub end_range: Option<Window>,
    /// "late 1 h 10 min"; `None` where it is not.
    pub late: Option<String>,
    /// Its spool runs out, and what is written there.
    pub spool_out: Option<(i64, String)>,
    /// Its place is fixed.
    pub fixed: bool,
    /// It is selected.
    pub selected: bool,
}

/// One machine.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrawnRow {
    /// Its name.
    pub name: String,
    /// When it is down, and why.
    pub down: Vec<(Window, String)>,
}

/// A timeline to be drawn.
#[derive(Debug, Clone)]
pub struct DrawnTimeline {
    /// Attended hours, days and clock times.
    pub calendar: Arc<Calendar>,
    /// Machines from the top.
    pub rows: Vec<DrawnRow>,
    /// Plates.
    pub runs: Vec<DrawnRun>,
    /// The time now, s from the start of the plan.
    pub now_s: i64,
}

impl DrawnTimeline {
    /// The stretch that shows everything: from now or the first bar to the last, with some air.
    pub fn whole(&self) -> Window {
        let from = self.runs.iter().map(|r| r.preparing.unwrap_or(r.print).from_s.min(r.print.from_s));
        // What is over is never later than now, whatever was written down.
        let open = self.runs.iter().filter(|r| !matches!(r.look, RunLook::Ended | RunLook::Failed));
        let to = open.map(|r| {
            let ends = [r.cool_s, r.removal.map(|w| w.to_s), r.end_range.map(|w| w.to_s), Some(r.print.to_s)];
            ends.into_iter().flatten().max().unwrap_or(r.print.to_s)
        });
        // What ended long ago is not worth the room.
        let from_s = from.min().unwrap_or(0).min(0).max(self.now_s.min(0) - 86_400);
        let to_s = to.max().unwrap_or(0).max(from_s + 86_400);
        let air = (to_s - from_s) / 40;
        Window::new(from_s - air, to_s + air)
    }
}
