//! By when a plate has to end.

use std::str::FromStr;

use jiff::{
    Timestamp, ZonedDateTime,
    civil::{DateTime, Time},
    tz::TimeZone,
};

use crate::document::ClockTime;

/// Within this much a time of day that has just passed still means today, s.
const JUST_NOW_S: i64 = 60;

/// A time as it is typed: a time of day, or a date with one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// "16:30": the next time that it is so late.
    Clock(ClockTime),
    /// "2026-12-01T08:00", local time.
    Date(DateTime),
}

impl FromStr for When {
    type Err = String;
    /// "16:30", "8", "2026-12-01T08:00" and "2026-12-01 08:00".
    fn from_str(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if text.contains('-') {
            let wrong = || format!("{text}: write a date and a time, as in 2026-12-01T08:00");
            let has_time = text.contains(['T', 't', ' ']);
            let date: DateTime = text.parse().map_err(|_| wrong())?;
            return if has_time { Ok(Self::Date(date)) } else { Err(wrong()) };
        }
        text.parse().map(Self::Clock).map_err(|_| {
            format!("{text}: write a time of day, as in 08:30, or a date with one, as in 2026-12-01T08:00")
        })
    }
}

impl std::fmt::Display for When {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Clock(clock) => clock.fmt(f),
            Self::Date(date) => f.write_str(&date.strftime("%Y-%m-%dT%H:%M").to_string()),
        }
    }
}

/// By when Pack and Top up have a plate end: as many copies as end in time, instead of as many as fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndBy {
    /// When the plate starts; now where it is not set.
    pub start: Option<When>,
    /// By when it has to end.
    pub end: When,
    /// How sure it has to be, between 0 and 1; 0.5 takes the estimate as it is.
    pub chance: f64,
    /// What Pack takes off goes to a further plate; else it is left out.
    pub further_plate: bool,
}

/// Start and end as instants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Between {
    /// Start.
    pub start: Timestamp,
    /// End.
    pub end: Timestamp,
    /// The start is past.
    pub is_past: bool,
}

impl Between {
    /// Seconds from start to end.
    pub fn available_s(&self) -> f64 {
        (self.end.as_second() - self.start.as_second()) as f64
    }
}

impl EndBy {
    /// What is meant at a time, in a time zone: a start without a date is the next such time, an end without one the first such time after the start.
    ///
    /// # Errors
    /// One sentence where the end is not after the start, or no calendar has the time.
    pub fn between(&self, zone: &TimeZone, now: Timestamp) -> Result<Between, String> {
        let beyond = || "this time is beyond all calendars: give another one".to_owned();
        let start = match self.start {
            None => now,
            Some(When::Date(date)) => date.to_zoned_datetime(zone.clone()).map_err(|_| beyond())?.timestamp(),
            Some(When::Clock(clock)) => {
                let just_now = Timestamp::from_second(now.as_second() - JUST_NOW_S).map_err(|_| beyond())?;
                next(clock, zone, just_now).ok_or_else(beyond)?
            }
        };
        let end = match self.end {
            When::Date(date) => date.to_zoned_datetime(zone.clone()).map_err(|_| beyond())?.timestamp(),
            When::Clock(clock) => next(clock, zone, start).ok_or_else(beyond)?,
        };
        if end <= start {
            let words = |t: Timestamp| t.to_zoned_datetime(zone.clone()).strftime("%a %-d %b %Y, %H:%M").to_string();
            return Err(format!(
                "the end ({}) is not after the start ({}): give a later end",
                words(end),
                words(start)
            ));
        }
        Ok(Between { start, end, is_past: start.as_second() < now.as_second() - JUST_NOW_S })
    }
}

/// The first time after another that it is so late.
fn next(clock: ClockTime, zone: &TimeZone, after: Timestamp) -> Option<Timestamp> {
    let mut date = after.to_zoned_datetime(zone.clone()).date().yesterday().ok()?;
    for _ in 0..4 {
        let minutes = clock.minutes();
        let day = if minutes == ClockTime::END.minutes() { date.tomorrow().ok()? } else { date };
        let minutes = minutes % ClockTime::END.minutes();
        let time = Time::new((minutes / 60) as i8, (minutes % 60) as i8, 0, 0).ok()?;
        let at: ZonedDateTime = day.to_datetime(time).to_zoned_datetime(zone.clone()).ok()?;
        if at.timestamp() > after {
            return Some(at.timestamp());
        }
        date = date.tomorrow().ok()?;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(start: Option<&str>, end: &str, now: &str) -> Result<(String, String, f64), String> {
        let when = |t: &str| t.parse().expect("a time");
        let end_by = EndBy { start: start.map(when), end: when(end), chance: 0.5, further_plate: false };
        let zone = TimeZone::get("Europe/Lisbon").expect("a zone");
        let told = end_by.between(&zone, now.parse().expect("a time"))?;
        let words = |t: Timestamp| t.to_zoned_datetime(zone.clone()).strftime("%d %H:%M").to_string();
        Ok((words(told.start), words(told.end), told.available_s() / 3600.0))
    }

    /// Lisbon is at UTC in winter. Clocks go forward in the night to 2027-03-28 and back in that to 2026-10-25 (IANA time zone database): that
    /// night is an hour shorter, or longer.
    #[test]
    fn what_is_meant() {
        let told = |s, e, n| between(s, e, n).expect("a time");
        assert_eq!(told(Some("16:30"), "8:00", "2026-11-30T12:00:00Z"), ("30 16:30".into(), "01 08:00".into(), 15.5));
        // Half past four has passed: tomorrow's.
        assert_eq!(told(Some("16:30"), "08:00", "2026-11-30T19:00:00Z"), ("01 16:30".into(), "02 08:00".into(), 15.5));
        assert_eq!(told(Some("16:30"), "17:30", "2026-11-30T16:30:40Z").2, 1.0);
        assert_eq!(told(None, "24:00", "2026-11-30T19:00:00Z"), ("30 19:00".into(), "01 00:00".into(), 5.0));
        assert_eq!(told(Some("2026-11-30T16:30"), "2026-12-02 08:00", "2026-11-30T12:00:00Z").2, 39.5);
        assert_eq!(told(Some("16:30"), "08:00", "2027-03-27T12:00:00Z").2, 14.5);
        assert_eq!(told(Some("16:30"), "08:00", "2026-10-24T12:00:00Z").2, 16.5);
        // A start that is past is reckoned with all the same.
        assert_eq!(told(Some("2020-01-01T16:30"), "08:00", "2026-11-30T12:00:00Z").2, 15.5);
    }

    #[test]
    fn what_cannot_be() {
        let why = |s, e| between(s, e, "2026-11-30T12:00:00Z").expect_err("it cannot be");
        let late = why(Some("2026-12-02T08:00"), "2026-12-01T08:00");
        assert_eq!(
            late,
            "the end (Tue 1 Dec 2026, 08:00) is not after the start (Wed 2 Dec 2026, 08:00): give a later end"
        );
        assert!(why(None, "2026-11-30T12:00").contains("is not after the start"));
        for text in ["", "25:00", "noon", "2026-12-01", "2026-13-01T08:00", "2026-12-01T8pm", "-1"] {
            assert!(text.parse::<When>().is_err_and(|w| w.contains("write a")), "{text}");
        }
        for text in ["08:30", "2026-12-01T08:00"] {
            assert_eq!(text.parse::<When>().map(|w| w.to_string()), Ok(text.to_owned()));
        }
    }
}
