//! What to start now.

use super::Timeline;
use crate::document::{MachineId, PlateId};

/// What one machine does next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StartNow {
    /// The machine.
    pub machine: MachineId,
    /// What it does.
    pub what: WhatNow,
}

/// What a machine does next. Times in s from the start of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhatNow {
    /// It is free, and this plate comes next.
    Start {
        /// The plate.
        plate: PlateId,
        /// Somebody begins to prepare it.
        at_s: i64,
        /// The print ends.
        end_s: i64,
        /// Its parts are on the table; `None` where nobody ever takes them off.
        ready_s: Option<i64>,
        /// Somebody is there when it ends.
        is_attended: bool,
    },
    /// It prints.
    Runs {
        /// The plate.
        plate: PlateId,
        /// The print ends.
        end_s: i64,
        /// Somebody is there when it ends.
        is_attended: bool,
    },
    /// A plate should have ended by now, and nobody said so.
    Overdue {
        /// The plate.
        plate: PlateId,
        /// The print should have ended.
        end_s: i64,
    },
    /// Nothing is planned on it.
    Nothing,
}

impl Timeline {
    /// What each machine does next, in the order of the job's machines.
    pub fn start_now(&self) -> Vec<StartNow> {
        let of = |(bench, machine): (usize, &MachineId)| {
            let first = self.sequence(bench).first().copied();
            let about = first.and_then(|run| Some((self.timed(run)?, self.about.get(run)?)));
            let what = about.map_or(WhatNow::Nothing, |(t, about)| {
                let (plate, end_s) = (about.plate, t.print.to_s);
                let is_attended = self.calendar.is_attended(end_s);
                match (about.is_running, self.end_range(t).to_s < self.now_s) {
                    (true, true) => WhatNow::Overdue { plate, end_s },
                    (true, false) => WhatNow::Runs { plate, end_s, is_attended },
                    (false, _) => {
                        let (at_s, ready_s) = (t.preparing.from_s, t.ready_s());
                        WhatNow::Start { plate, at_s, end_s, ready_s, is_attended }
                    }
                }
            });
            StartNow { machine: *machine, what }
        };
        self.floor.machines.iter().enumerate().map(of).collect()
    }

    /// One line on what a machine does next: "start plate 3 now; it ends Tue 08:20, somebody is there then".
    pub fn start_words(&self, what: WhatNow) -> String {
        // A plan may lie far ahead of now: then the weekday alone says nothing.
        let clock = |s: i64| {
            let near = s - self.now_s < 6 * 86_400;
            if near { self.calendar.words(s) } else { self.calendar.at(s).strftime("%a %-d %b %Y %H:%M").to_string() }
        };
        let number = |plate: PlateId| self.run_of(plate).map_or(0, |r| self.about[r].number);
        let there = |end_s: i64, is_attended: bool| {
            if is_attended {
                return "somebody is there then".to_owned();
            }
            match self.calendar.window_from(end_s) {
                Some(w) => format!("nobody is there then; somebody comes {}", clock(w.from_s)),
                None => "nobody is there then".to_owned(),
            }
        };
        match what {
            WhatNow::Start { plate, at_s, end_s, is_attended, .. } => {
                // Within the quarter of an hour that it takes to get there, it is now.
                let when = if at_s <= self.now_s + 900 { "now".to_owned() } else { clock(at_s) };
                format!("start plate {} {when}; it ends {}, {}", number(plate), clock(end_s), there(end_s, is_attended))
            }
            WhatNow::Runs { plate, end_s, is_attended } => {
                format!("runs plate {} until {}, {}", number(plate), clock(end_s), there(end_s, is_attended))
            }
            WhatNow::Overdue { plate, end_s } => {
                format!("plate {} should have ended {}: mark it ended or failed", number(plate), clock(end_s))
            }
            WhatNow::Nothing => "nothing planned".to_owned(),
        }
    }
}
