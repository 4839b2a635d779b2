//! The weeks over which a plate is followed.

use jiff::{Timestamp, tz::TimeZone};

use super::NightRun;
use crate::{
    batch::{Attended, NoChangeover, RepeatedPlate, Run, attended, next_week, repeated_plate, time_zone},
    document::{ClockTime, Machine, Shifts},
    words,
};

/// Weeks looked at.
const WEEKS: u32 = 4;
/// Days known beyond them, so that what runs at their end is followed to its changeover.
const BEYOND: u32 = 35;
const DAY_S: f64 = 86_400.0;

/// People's hours and a machine's downtimes over the next full weeks.
pub(super) struct ShopWeeks {
    from: Timestamp,
    zone: TimeZone,
    known: Attended,
}

impl ShopWeeks {
    /// The full weeks that follow the start of the work, or `now` where that is later or not set.
    pub(super) fn after(shifts: &Shifts, machine: &Machine, now: Timestamp) -> Self {
        let zone = time_zone(&shifts.hours);
        let start = shifts.start.and_then(|t| Some(t.to_zoned_datetime(zone.clone()).ok()?.timestamp()));
        let from = next_week(&shifts.hours, start.unwrap_or(now).max(now));
        let known = attended(&shifts.hours, &machine.downtimes, from, 7 * WEEKS + BEYOND);
        Self { from, zone, known }
    }

    fn repeated(&self, plate: &RepeatedPlate) -> Result<crate::batch::Repeated, NoChangeover> {
        repeated_plate(&self.known.windows_s, &self.known.closed_s, plate, f64::from(7 * WEEKS) * DAY_S)
    }

    /// Changeovers a day, and the most frequent run past people's hours; `None` where there are no changeovers.
    pub(super) fn under(&self, plate: &RepeatedPlate) -> Option<(f64, Option<NightRun>)> {
        let told = self.repeated(plate).ok()?;
        Some((told.per_day(), self.night(&told.runs, plate)))
    }

    /// Why there are none, in one sentence that says what to do.
    pub(super) fn fault(&self, plate: &RepeatedPlate) -> Option<String> {
        Some(match self.repeated(plate).err()? {
            NoChangeover::Nobody => {
                format!("Nobody is there in the next {WEEKS} full weeks: set people's hours, then good parts a day can be counted.")
            }
            NoChangeover::TooShort { changeover_s, longest_s } => format!(
                "A changeover takes {}, and nobody is there for longer than {} at a time: set longer hours or a shorter changeover.",
                words::time(changeover_s),
                words::time(longest_s)
            ),
            NoChangeover::NeverCool => {
                "The bed never cools to the temperature at which parts come off: raise it, or check the air temperature of the material.".into()
            }
            NoChangeover::Down => {
                format!("The machine is down for all of the next {WEEKS} full weeks: change its downtimes, or choose another machine.")
            }
        })
    }

    /// The most frequent run that ends after the hours in which it began, to the minute.
    fn night(&self, runs: &[Run], plate: &RepeatedPlate) -> Option<NightRun> {
        let windows = &self.known.windows_s;
        let mut nights: Vec<(ClockTime, ClockTime, u32, f64)> = Vec::new();
        let mut window = 0;
        for run in runs {
            while windows.get(window).is_some_and(|w| w.1 + 1.0 < run.start_s) {
                window += 1;
            }
            if windows.get(window).is_none_or(|w| run.end_s <= w.1) {
                continue;
            }
            let (start, end) = (self.clock(run.start_s)?, self.clock(run.end_s)?);
            let waits_s = (run.changed_s - run.end_s - plate.cooling_s).max(0.0);
            match nights.iter_mut().find(|n| (n.0, n.1) == (start, end)) {
                Some(same) => {
                    same.2 += 1;
                    // Over a weekend it waits longer.
                    same.3 = same.3.min(waits_s);
                }
                None => nights.push((start, end, 1, waits_s)),
            }
        }
        let most = nights.iter().map(|n| n.2).max()?;
        nights.into_iter().find(|n| n.2 == most).map(|(start, end, _, waits_s)| NightRun { start, end, waits_s })
    }

    /// The time of day, to the nearest minute.
    fn clock(&self, after_s: f64) -> Option<ClockTime> {
        let at = Timestamp::from_second(self.from.as_second() + (after_s + 30.0) as i64).ok()?;
        let time = at.to_zoned_datetime(self.zone.clone()).time();
        ClockTime::new(time.hour().unsigned_abs().into(), time.minute().unsigned_abs().into())
    }
}
