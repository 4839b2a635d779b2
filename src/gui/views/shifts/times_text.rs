//! Days and times as people type them: "2026-11-30 16:30".

use jiff::{
    Timestamp,
    civil::{Date, DateTime},
    tz::TimeZone,
};

/// What to type.
const LIKE: &str = "Type a day and a time, such as 2026-11-30 16:30.";

/// A local time as text.
pub(super) fn show(t: DateTime) -> String {
    t.strftime("%Y-%m-%d %H:%M").to_string()
}

/// An instant as a local time's text.
pub(super) fn show_instant(t: Timestamp, zone: &TimeZone) -> String {
    show(t.to_zoned_datetime(zone.clone()).datetime())
}

/// A local time as typed; nothing typed is none.
///
/// # Errors
/// One sentence on what to type.
pub(super) fn parse(text: &str) -> Result<Option<DateTime>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    text.parse::<DateTime>().map(Some).map_err(|_| LIKE.to_owned())
}

/// A local time as typed, as an instant; nothing typed is none.
pub(super) fn parse_instant(text: &str, zone: &TimeZone) -> Option<Timestamp> {
    parse(text).ok().flatten()?.to_zoned_datetime(zone.clone()).ok().map(|z| z.timestamp())
}

/// Whether this is a time, or nothing.
pub(super) fn check(text: &str) -> Result<(), String> {
    parse(text).map(drop)
}

/// Whether this is a time.
pub(super) fn check_some(text: &str) -> Result<(), String> {
    match parse(text)? {
        Some(_) => Ok(()),
        None => Err(LIKE.to_owned()),
    }
}

/// "2026-12-24" or "2026-12-24 to 2026-12-26".
pub(super) fn show_days(from: Date, to: Date) -> String {
    if from == to { from.to_string() } else { format!("{from} to {to}") }
}

/// One day, or a first and a last one.
///
/// # Errors
/// One sentence on what to type.
pub(super) fn parse_days(text: &str) -> Result<(Date, Date), String> {
    let day =
        |t: &str| t.trim().parse::<Date>().map_err(|_| "Type a day, such as 2026-12-24, or 2026-12-24 to 2026-12-26.");
    let (from, to) = text.split_once(" to ").unwrap_or((text, text));
    let (from, to) = (day(from)?, day(to)?);
    if to < from { Err(format!("{to} is before {from}.")) } else { Ok((from, to)) }
}

/// Whether these are days.
pub(super) fn check_days(text: &str) -> Result<(), String> {
    parse_days(text).map(drop)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_days_there_and_back() {
        for (typed, shown) in [
            ("2026-11-30 16:30", "2026-11-30 16:30"),
            (" 2026-11-30T16:30 ", "2026-11-30 16:30"),
            ("2026-11-30", "2026-11-30 00:00"),
        ] {
            assert_eq!(parse(typed).map(|t| t.map(show)), Ok(Some(shown.to_owned())), "{typed}");
        }
        assert_eq!(parse(" "), Ok(None));
        assert!(check("half past four").is_err() && check("2026-02-30 16:30").is_err() && check_some("").is_err());
        let lisbon = TimeZone::get("Europe/Lisbon").expect("a zone");
        let summer = parse_instant("2026-07-01 12:00", &lisbon).expect("an instant");
        assert_eq!(summer.to_string(), "2026-07-01T11:00:00Z");
        assert_eq!(show_instant(summer, &lisbon), "2026-07-01 12:00");
        for text in ["2026-12-24", "2026-12-24 to 2026-12-26"] {
            assert_eq!(parse_days(text).map(|(a, b)| show_days(a, b)), Ok(text.to_owned()));
        }
        assert!(check_days("2026-12-26 to 2026-12-24").is_err() && check_days("Christmas").is_err());
    }
}
