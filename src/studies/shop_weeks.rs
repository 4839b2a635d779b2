//! The weeks over which a plate is followed.

use jiff::{Timestamp, civil::Weekday};

use super::NightRun;
use crate::{
    batch::{Calendar, NoChangeover, Repeated, RepeatedPlate, Run, repeated_plate, zone_of},
    document::{ClockTime, Hours, Machine, Shifts},
    words,
};

/// Weeks looked at.
const WEEKS: u16 = 4;
/// Days known beyond them, so that what runs at their end is followed to its changeover.
const BEYOND: u16 = 35;
const DAY_S: f64 = 86_400.0;

/// People's hours and a machine's downtimes over the next full weeks.
pub(super) struct ShopWeeks {
    calendar: Calendar,
    windows_s: Vec<(f64, f64)>,
    closed_s: Vec<(f64, f64)>,
}

impl ShopWeeks {
    /// The full weeks that follow the start of the work, or `now` where that is later or not set.
    pub(super) fn after(shifts: &Shifts, machine: &Machine, now: Timestamp) -> Self {
        let hours = &shifts.hours;
        let start = shifts.start.and_then(|t| Some(t.to_zoned_datetime(zone_of(hours)).ok()?.timestamp()));
        let from = next_monday(hours, start.unwrap_or(now).max(now));
        let calendar = Calendar::new(hours, from, 7 * WEEKS + BEYOND);
        let somebody = hours.people > 0;
        let windows =
            calendar.attended().iter().filter(|_| somebody).map(|w| (w.from_s as f64, w.to_s as f64)).collect();
        let local = |t| calendar.second_of_local(t).map(|s| s as f64);
        let mut closed: Vec<(f64, f64)> =
            machine.downtimes.iter().filter_map(|d| local(d.from).zip(local(d.to))).filter(|d| d.1 > 0.0).collect();
        closed.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { windows_s: windows, closed_s: closed, calendar }
    }

    fn repeated(&self, plate: &RepeatedPlate) -> Result<Repeated, NoChangeover> {
        repeated_plate(&self.windows_s, &self.closed_s, plate, f64::from(7 * WEEKS) * DAY_S)
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
                format!(
                    "Nobody is there in the next {WEEKS} full weeks: set people's hours, then good parts a day can be counted."
                )
            }
            NoChangeover::TooShort { changeover_s, longest_s } => format!(
                "A changeover takes {}, and nobody is there for longer than {} at a time: set longer hours or a shorter changeover.",
                words::time(changeover_s),
                words::time(longest_s)
            ),
            NoChangeover::NoNumbers => "The times of a changeover are no numbers: type them again.".into(),
            NoChangeover::Down => {
                format!(
                    "The machine is down for all of the next {WEEKS} full weeks: change its downtimes, or choose another machine."
                )
            }
        })
    }

    /// The most frequent run that ends after the hours in which it began, to the minute.
    fn night(&self, runs: &[Run], plate: &RepeatedPlate) -> Option<NightRun> {
        let windows = &self.windows_s;
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
        let time = self.calendar.at((after_s + 30.0) as i64).time();
        ClockTime::new(time.hour().unsigned_abs().into(), time.minute().unsigned_abs().into())
    }
}

/// Midnight before the first Monday after `now`, in the zone of these hours; `now` itself where there is none.
fn next_monday(hours: &Hours, now: Timestamp) -> Timestamp {
    let zone = zone_of(hours);
    let today = now.to_zoned_datetime(zone.clone()).date();
    let monday = today.nth_weekday(1, Weekday::Monday);
    monday.and_then(|d| d.to_zoned_datetime(zone)).map_or(now, |z| z.timestamp())
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::document::{ClockTime, Downtime, MachineId, OtherHours, Span};

    const HOUR: f64 = 3600.0;

    fn clock(h: u16, m: u16) -> ClockTime {
        ClockTime::new(h, m).expect("a time of day")
    }

    /// Monday to Friday in Lisbon, from one time to another.
    fn shifts(from: ClockTime, to: ClockTime) -> Shifts {
        let mut shifts = Shifts::default();
        shifts.hours.time_zone = "Europe/Lisbon".into();
        shifts.hours.week = std::array::from_fn(|i| if i < 5 { vec![Span { from, to }] } else { Vec::new() });
        shifts
    }

    fn weeks(shifts: &Shifts, downtimes: Vec<Downtime>) -> ShopWeeks {
        let machine = Machine { downtimes, ..Machine::rectangular(MachineId(1), "Bench 1", 200.0, 200.0, 200.0) };
        // A Tuesday.
        ShopWeeks::after(shifts, &machine, "2026-12-01T15:00:00Z".parse().expect("a time"))
    }

    /// By hand: 8:00 to 17:00, changeover 10 min, a plate of 15 h 50 min: it starts at 08:10 and ends at midnight, waits eight hours; one a
    /// working day. The weeks begin on Monday, 7 December.
    #[test]
    fn a_night_and_its_weekend() {
        let told = weeks(&shifts(clock(8, 0), clock(17, 0)), Vec::new());
        assert_eq!(told.calendar.at(0).date(), date(2026, 12, 7));
        let plate = RepeatedPlate { plate_s: 15.0 * HOUR + 3000.0, cooling_s: 0.0, changeover_s: 600.0 };
        let (per_day, night) = told.under(&plate).expect("somebody is there");
        assert!((per_day - 5.0 / 7.0).abs() < 1e-9, "{per_day}");
        assert_eq!(night, Some(NightRun { start: clock(8, 10), end: clock(0, 0), waits_s: 8.0 * HOUR }));
        // Cooling for ten minutes is no wait for somebody.
        let cooling = RepeatedPlate { cooling_s: 600.0, ..plate };
        let waits_s = told.under(&cooling).and_then(|t| t.1).expect("a night").waits_s;
        assert!((waits_s - (8.0 * HOUR - 600.0)).abs() < 1e-6);
        // Short plates: the last one of the day runs into the evening.
        let hour = RepeatedPlate { plate_s: HOUR, cooling_s: 0.0, changeover_s: 900.0 };
        let (per_day, night) = told.under(&hour).expect("somebody is there");
        assert!((per_day - 8.0 * 5.0 / 7.0).abs() < 1e-9, "{per_day}");
        assert_eq!(night.map(|n| (n.start, n.end)), Some((clock(17, 0), clock(18, 0))));
    }

    #[test]
    fn why_there_are_no_changeovers() {
        let plate = RepeatedPlate { plate_s: HOUR, cooling_s: 0.0, changeover_s: 600.0 };
        let day = shifts(clock(8, 0), clock(17, 0));
        assert_eq!(weeks(&day, Vec::new()).fault(&plate), None);
        let fault = |s: &Shifts, d: Vec<Downtime>| weeks(s, d).fault(&plate).expect("a fault");
        let mut nobody = day.clone();
        nobody.hours.people = 0;
        assert!(fault(&nobody, Vec::new()).starts_with("Nobody is there in the next 4 full weeks: set people's hours"));
        let mut away = day.clone();
        let (from, to) = (date(2026, 12, 1), date(2027, 3, 1));
        away.hours.exceptions = vec![OtherHours { from, to, name: String::new(), spans: Vec::new() }];
        assert!(fault(&away, Vec::new()).starts_with("Nobody is there"));
        let short = shifts(clock(8, 0), clock(8, 5));
        assert_eq!(
            fault(&short, Vec::new()),
            "A changeover takes 10 min, and nobody is there for longer than 5 min at a time: set longer hours or a shorter changeover."
        );
        let down = Downtime { from: from.at(0, 0, 0, 0), to: to.at(0, 0, 0, 0), why: String::new() };
        assert!(fault(&day, vec![down]).starts_with("The machine is down"));
        // The start of the work counts where it is later than now.
        let late = Shifts { start: Some(date(2027, 2, 3).at(8, 0, 0, 0)), ..day };
        assert_eq!(weeks(&late, Vec::new()).calendar.at(0).date(), date(2027, 2, 8));
    }
}
