//! When somebody is there, in seconds from a beginning.

use jiff::{
    Timestamp,
    civil::{Date, DateTime, Weekday},
    tz::TimeZone,
};

use crate::document::{ClockTime, Downtime, Hours, Span};

/// Days looked at in one go at most.
const MOST_DAYS: u32 = 400;

/// Times in seconds from a beginning, as pairs of beginning and end, in order and apart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Attended {
    /// When somebody is there.
    pub windows_s: Vec<(f64, f64)>,
    /// When the machine is not to be had.
    pub closed_s: Vec<(f64, f64)>,
}

/// The time zone of people's hours: by name, else this computer's.
pub fn time_zone(hours: &Hours) -> TimeZone {
    if hours.time_zone.is_empty() {
        return TimeZone::system();
    }
    TimeZone::get(&hours.time_zone).unwrap_or_else(|_| TimeZone::system())
}

/// Midnight before the next Monday after `now`, in the zone of these hours; `now` itself where there is none.
pub fn next_week(hours: &Hours, now: Timestamp) -> Timestamp {
    let zone = time_zone(hours);
    let today = now.to_zoned_datetime(zone.clone()).date();
    let monday = today.nth_weekday(1, Weekday::Monday);
    monday.and_then(|d| d.to_zoned_datetime(zone)).map_or(now, |z| z.timestamp())
}

/// When somebody is there, and when the machine is down, over so many days from a beginning. A span belongs to the day on which it begins;
/// the hours of exceptions replace those of their weekday. A night in which clocks change is an hour longer or shorter.
pub fn attended(hours: &Hours, downtimes: &[Downtime], from: Timestamp, days: u32) -> Attended {
    let zone = time_zone(hours);
    let seconds = |t: Timestamp| (t.as_second() - from.as_second()) as f64;
    let last_s = f64::from(days.min(MOST_DAYS)) * 86_400.0;
    let within = |(a, b): (f64, f64)| {
        let (a, b) = (a.max(0.0), b.min(last_s));
        (b > a).then_some((a, b))
    };
    let instant = |t: DateTime| Some(seconds(t.to_zoned_datetime(zone.clone()).ok()?.timestamp()));
    let at = |mut date: Date, clock: ClockTime, next_day: bool| -> Option<f64> {
        let minutes = clock.minutes();
        for _ in 0..u16::from(next_day) + minutes / 1440 {
            date = date.tomorrow().ok()?;
        }
        let minutes = minutes % 1440;
        instant(date.at((minutes / 60) as i8, (minutes % 60) as i8, 0, 0))
    };
    let mut windows = Vec::new();
    if hours.people > 0
        && let Ok(mut date) = from.to_zoned_datetime(zone.clone()).date().yesterday()
    {
        for _ in 0..days.min(MOST_DAYS) + 2 {
            let other = hours.exceptions.iter().rev().find(|e| (e.from..=e.to).contains(&date));
            let spans: &[Span] = match other {
                Some(e) => &e.spans,
                None => &hours.week[date.weekday().to_monday_zero_offset().unsigned_abs() as usize % 7],
            };
            for span in spans {
                let times = at(date, span.from, false).zip(at(date, span.to, span.to <= span.from));
                windows.extend(times.and_then(within));
            }
            let Ok(next) = date.tomorrow() else { break };
            date = next;
        }
    }
    let down = |d: &Downtime| within((instant(d.from)?, instant(d.to)?));
    Attended { windows_s: joined(windows), closed_s: joined(downtimes.iter().filter_map(down).collect()) }
}

/// In order, those that touch joined.
fn joined(mut times: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut all: Vec<(f64, f64)> = Vec::with_capacity(times.len());
    for (from, to) in times {
        match all.last_mut().filter(|last| from <= last.1) {
            Some(last) => last.1 = last.1.max(to),
            None => all.push((from, to)),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::OtherHours;

    const HOUR: f64 = 3600.0;

    fn lisbon() -> Hours {
        Hours { time_zone: "Europe/Lisbon".into(), ..Hours::default() }
    }

    fn at(text: &str) -> Timestamp {
        text.parse().expect("a time")
    }

    fn span(from: (u16, u16), to: (u16, u16)) -> Span {
        let clock = |(h, m)| ClockTime::new(h, m).expect("a time of day");
        Span { from: clock(from), to: clock(to) }
    }

    /// Monday to Friday, 08:00 to 17:00 from Monday 2026-11-30, by hand.
    #[test]
    fn a_week() {
        let told = attended(&lisbon(), &[], at("2026-11-30T00:00:00Z"), 8);
        let wanted: Vec<(f64, f64)> = [0, 1, 2, 3, 4, 7]
            .map(|d| (f64::from(d) * 24.0 * HOUR + 8.0 * HOUR, f64::from(d) * 24.0 * HOUR + 17.0 * HOUR))
            .into();
        assert_eq!(told.windows_s, wanted);
        assert_eq!(next_week(&lisbon(), at("2026-12-02T15:00:00Z")), at("2026-12-07T00:00:00Z"));
        assert_eq!(next_week(&lisbon(), at("2026-11-30T15:00:00Z")), at("2026-12-07T00:00:00Z"));
    }

    /// Clocks in Lisbon go forward on 2027-03-28 at 01:00 and back on 2026-10-25 at 02:00 (IANA database): from 17:00 to 08:00 the day after
    /// next it is 38 and 40 hours.
    #[test]
    fn clocks_change() {
        let mut hours = lisbon();
        hours.week = std::array::from_fn(|_| vec![span((8, 0), (17, 0))]);
        for (from, night_h) in
            [("2027-03-27T00:00:00Z", 14.0), ("2026-10-23T23:00:00Z", 16.0), ("2026-12-05T00:00:00Z", 15.0)]
        {
            let told = attended(&hours, &[], at(from), 3).windows_s;
            assert_eq!(told[1].0 - told[0].1, night_h * HOUR, "{from}");
        }
    }

    #[test]
    fn nights_exceptions_and_downtimes() {
        let mut hours = lisbon();
        hours.week =
            std::array::from_fn(|i| if i < 2 { vec![span((22, 0), (6, 0)), span((6, 0), (7, 0))] } else { Vec::new() });
        hours.week[0] = vec![span((6, 0), (7, 0)), span((22, 0), (6, 0))];
        hours.week[1] = vec![span((6, 0), (7, 0)), span((0, 0), (24, 0))].into_iter().take(1).collect();
        let from = at("2026-11-30T00:00:00Z");
        let told = attended(&hours, &[], from, 7).windows_s;
        // The night joins the hour that follows it.
        assert_eq!(told, [(6.0 * HOUR, 7.0 * HOUR), (22.0 * HOUR, 31.0 * HOUR)]);
        let day = jiff::civil::date(2026, 11, 30);
        hours.exceptions =
            vec![OtherHours { from: day, to: day, name: String::new(), spans: vec![span((0, 0), (24, 0))] }];
        assert_eq!(attended(&hours, &[], from, 7).windows_s[0], (0.0, 24.0 * HOUR));
        let down = Downtime { from: day.at(9, 0, 0, 0), to: day.at(10, 30, 0, 0), why: String::new() };
        assert_eq!(attended(&hours, &[down], from, 7).closed_s, [(9.0 * HOUR, 10.5 * HOUR)]);
        hours.people = 0;
        assert_eq!(attended(&hours, &[], from, 7).windows_s, []);
        // What lies before the beginning is cut off; the ends of the calendar do no harm.
        let noon = attended(&lisbon(), &[], at("2026-11-30T12:00:00Z"), 1).windows_s;
        assert_eq!(noon, [(0.0, 5.0 * HOUR), (20.0 * HOUR, 24.0 * HOUR)]);
        for end in [Timestamp::MIN, Timestamp::MAX] {
            attended(&lisbon(), &[], end, u32::MAX);
        }
    }
}
