//! People's hours as seconds from the start of a plan.

use jiff::{
    Span as Step, Timestamp, ZonedDateTime,
    civil::{Date, DateTime, Time},
    tz::TimeZone,
};

use super::sequence::Window;
use crate::document::{ClockTime, Hours, Span};

/// Most days that a calendar looks ahead.
pub const MOST_DAYS: u16 = 800;

/// Attended time, and clock times there and back. Local days are as the time zone has them: a night in which clocks are changed is an hour
/// longer or shorter.
#[derive(Debug, Clone)]
pub struct Calendar {
    zone: TimeZone,
    start: Timestamp,
    attended: Vec<Window>,
    days: u16,
}

/// The time zone of these hours: by its name, this computer's where there is none or nobody knows it.
pub fn zone_of(hours: &Hours) -> TimeZone {
    if hours.time_zone.is_empty() {
        return TimeZone::system();
    }
    TimeZone::get(&hours.time_zone).unwrap_or_else(|_| TimeZone::system())
}

impl Calendar {
    /// The attended time of so many days (at most [`MOST_DAYS`]) from a start. No hours give no attended time.
    pub fn new(hours: &Hours, start: Timestamp, days: u16) -> Self {
        let mut calendar = Self { zone: zone_of(hours), start, attended: Vec::new(), days: days.min(MOST_DAYS) };
        let mut all = Vec::new();
        // The day before: its night may reach into the first.
        let mut day = calendar.at(0).date().yesterday().ok();
        for _ in 0..=calendar.days {
            let Some(date) = day else { break };
            for span in spans_of(hours, date) {
                if let (Some(from), Some(to)) = calendar.span(date, *span) {
                    all.push(Window::new(from.max(0), to));
                }
            }
            day = date.tomorrow().ok();
        }
        all.retain(|w| w.length_s() > 0);
        all.sort_unstable();
        for w in all {
            match calendar.attended.last_mut() {
                Some(last) if w.from_s <= last.to_s => last.to_s = last.to_s.max(w.to_s),
                _ => calendar.attended.push(w),
            }
        }
        calendar
    }

    /// When somebody is there: in order, none over or next to another.
    pub fn attended(&self) -> &[Window] {
        &self.attended
    }
    /// The start of the plan.
    pub fn start(&self) -> Timestamp {
        self.start
    }
    /// How many days it looks ahead.
    pub fn days(&self) -> u16 {
        self.days
    }
    /// Its time zone.
    pub fn zone(&self) -> &TimeZone {
        &self.zone
    }
    /// Local time, so many seconds from the start; the start itself where that is beyond all calendars.
    pub fn at(&self, s: i64) -> ZonedDateTime {
        let then = self.start.as_second().checked_add(s).and_then(|t| Timestamp::from_second(t).ok());
        then.unwrap_or(self.start).to_zoned_datetime(self.zone.clone())
    }
    /// Seconds from the start.
    pub fn second_of(&self, t: Timestamp) -> i64 {
        t.as_second() - self.start.as_second()
    }
    /// Seconds from the start of a local time. One that clocks skip is taken an hour later, of one that comes twice the first.
    pub fn second_of_local(&self, local: DateTime) -> Option<i64> {
        local.to_zoned_datetime(self.zone.clone()).ok().map(|z| self.second_of(z.timestamp()))
    }
    /// Seconds from the start of a due date as written: a date (the end of that day), a date and time, or an instant with its offset.
    pub fn due_s(&self, due: &str) -> Option<i64> {
        let due = due.trim();
        if let Ok(t) = due.parse::<Timestamp>() {
            return Some(self.second_of(t));
        }
        let has_time = due.contains(['T', 't', ':']);
        if has_time {
            return self.second_of_local(due.parse().ok()?);
        }
        let date: Date = due.parse().ok()?;
        self.second_of_local(date.tomorrow().ok()?.to_datetime(Time::midnight()))
    }
    /// Is somebody there?
    pub fn is_attended(&self, s: i64) -> bool {
        self.window_from(s).is_some_and(|w| w.from_s <= s)
    }
    /// The attended time at, or next after, a time.
    pub fn window_from(&self, s: i64) -> Option<Window> {
        self.attended.get(self.attended.partition_point(|w| w.to_s <= s)).copied()
    }
    /// "Tue 08:30", "Tue 8 Dec 08:30" where it is not within six days of the start.
    pub fn words(&self, s: i64) -> String {
        let then = self.at(s);
        let near = (0..6 * 86_400).contains(&s);
        then.strftime(if near { "%a %H:%M" } else { "%a %-d %b %H:%M" }).to_string()
    }

    fn span(&self, date: Date, span: Span) -> (Option<i64>, Option<i64>) {
        let at = |date: Date, time: ClockTime| {
            let midnight = date.to_datetime(Time::midnight());
            let local = midnight.checked_add(Step::new().minutes(i64::from(time.minutes()))).ok()?;
            self.second_of_local(local)
        };
        let last = if span.to > span.from { Some(date) } else { date.tomorrow().ok() };
        (at(date, span.from), last.and_then(|d| at(d, span.to)))
    }
}

/// Hours of a day: those of its exception (the later in the list where several hold it), else of its weekday.
pub fn spans_of(hours: &Hours, date: Date) -> &[Span] {
    match hours.exceptions.iter().rev().find(|e| e.from <= date && date <= e.to) {
        Some(e) => &e.spans,
        None => &hours.week[date.weekday().to_monday_zero_offset().clamp(0, 6) as usize],
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::document::OtherHours;

    const HOUR: i64 = 3600;

    fn clock(h: u16) -> ClockTime {
        ClockTime::new(h, 0).expect("a time of day")
    }

    fn hours(spans: &[(u16, u16)]) -> Hours {
        let day: Vec<Span> = spans.iter().map(|s| Span { from: clock(s.0), to: clock(s.1) }).collect();
        Hours { time_zone: "Europe/Lisbon".into(), week: std::array::from_fn(|_| day.clone()), ..Hours::default() }
    }

    fn calendar(hours: &Hours, from: DateTime, days: u16) -> Calendar {
        let start = from.to_zoned_datetime(zone_of(hours)).expect("a time").timestamp();
        Calendar::new(hours, start, days)
    }

    #[test]
    fn a_week_with_a_holiday_and_a_half_day() {
        let mut h = Hours { time_zone: "Europe/Lisbon".into(), ..Hours::default() };
        let off = |d, spans| OtherHours { from: date(2026, 12, d), to: date(2026, 12, d), name: String::new(), spans };
        h.exceptions = vec![off(1, Vec::new()), off(2, vec![Span { from: clock(8), to: clock(12) }])];
        // Monday 30 November 2026, 16:30.
        let c = calendar(&h, date(2026, 11, 30).at(16, 30, 0, 0), 8);
        let from_monday: Vec<(i64, i64)> = c.attended().iter().map(|w| (w.from_s / 60, w.to_s / 60)).collect();
        // Monday until 17:00; Wednesday 08:00 to 12:00; Thursday and Friday; the weekend is free.
        let day = 24 * 60;
        let at = |d: i64, h: i64| d * day + h * 60 - 16 * 60 - 30;
        let expected =
            [(0, 30), (at(2, 8), at(2, 12)), (at(3, 8), at(3, 17)), (at(4, 8), at(4, 17)), (at(7, 8), at(7, 17))];
        assert_eq!(from_monday[..5], expected);
        assert!(!c.is_attended(at(1, 10) * 60) && c.is_attended(at(2, 10) * 60));
        assert_eq!(c.words(0), "Mon 16:30");
        assert_eq!(c.words(7 * 86_400), "Mon 7 Dec 16:30");
    }

    /// Clocks go forward on 28 March 2027 and back on 31 October 2027 in Lisbon (IANA time zone database).
    #[test]
    fn nights_of_23_and_25_hours() {
        let h = hours(&[(8, 17)]);
        for (day, gap) in [(date(2027, 3, 27), 14), (date(2027, 10, 30), 16), (date(2027, 6, 1), 15)] {
            let c = calendar(&h, day.at(8, 0, 0, 0), 3);
            let w = c.attended();
            assert_eq!((w[1].from_s - w[0].to_s) / HOUR, gap, "{day}");
        }
        // 01:30 does not exist in one night and comes twice in the other.
        let c = calendar(&h, date(2027, 3, 28).at(0, 0, 0, 0), 1);
        assert_eq!(c.second_of_local(date(2027, 3, 28).at(1, 30, 0, 0)), Some(5400));
        assert_eq!(c.at(5400).hour(), 2);
        let c = calendar(&h, date(2027, 10, 31).at(0, 0, 0, 0), 1);
        assert_eq!(c.second_of_local(date(2027, 10, 31).at(1, 30, 0, 0)), Some(5400));
        assert_eq!(c.second_of_local(date(2027, 10, 31).at(2, 0, 0, 0)), Some(3 * HOUR));
    }

    #[test]
    fn nights_and_whole_days_are_joined() {
        let c = calendar(&hours(&[(6, 14), (14, 22), (22, 6)]), date(2026, 12, 1).at(3, 0, 0, 0), 4);
        assert_eq!(c.attended().len(), 1);
        assert_eq!(c.attended()[0].from_s, 0);
        let c = calendar(&hours(&[(0, 24)]), date(2026, 12, 1).at(3, 0, 0, 0), 2);
        assert_eq!(c.attended(), [Window::new(0, 2 * 86_400 - 3 * HOUR)]);
        let none = calendar(&hours(&[]), date(2026, 12, 1).at(3, 0, 0, 0), 400);
        assert!(none.attended().is_empty() && none.window_from(0).is_none());
    }

    #[test]
    fn due_dates_as_written() {
        let c = calendar(&hours(&[(8, 17)]), date(2026, 12, 1).at(8, 0, 0, 0), 4);
        assert_eq!(c.due_s("2026-12-01"), Some(16 * HOUR));
        assert_eq!(c.due_s("2026-12-01T16:30"), Some(8 * HOUR + HOUR / 2));
        assert_eq!(c.due_s("2026-12-01 16:30:00"), Some(8 * HOUR + HOUR / 2));
        assert_eq!(c.due_s("2026-12-01T16:30:00Z"), Some(8 * HOUR + HOUR / 2));
        for odd in ["", "tomorrow", "2026-13-01", "12/01/2026", "2026-12-01T25:00"] {
            assert_eq!(c.due_s(odd), None, "{odd}");
        }
    }
}
