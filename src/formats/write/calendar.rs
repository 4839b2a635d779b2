//! The timeline as a calendar file (iCalendar, RFC 5545).

use icalendar::{Calendar, Component as _, Event, EventLike as _};
use jiff::{Timestamp, tz::TimeZone};

use super::RunRecord;
use crate::words;

/// The job's title and its runs as a calendar: for each plate that is planned or runs an event for the print, and one each for preparing it and
/// for taking its parts off. Instants are UTC; times in a description are those of `zone`, which it names. `stamp` is when the file was made (DTSTAMP): the same runs and stamp give the same bytes. Each
/// event keeps its UID when the plan changes, so that a calendar that reads the file again moves it.
pub fn calendar(title: &str, runs: &[RunRecord], zone: &TimeZone, stamp: Timestamp) -> Vec<u8> {
    let mut calendar = Calendar::empty();
    calendar.append_property(("VERSION", "2.0"));
    calendar.append_property(("PRODID", "-//Stonehand//Shifts//EN"));
    calendar.append_property(("CALSCALE", "GREGORIAN"));
    // Of two jobs in one calendar none takes the other's events.
    let job = uid_word(title);
    for run in runs.iter().filter(|r| matches!(r.state, "planned" | "running")) {
        let machine = words::plain(&run.machine);
        let (plate, copies) = (run.plate, words::copies(run.copies));
        let mut event = |kind: &str, summary: String, from: Timestamp, to: Timestamp, text: &str| {
            if to <= from {
                return;
            }
            let mut e = Event::with_uid(&format!("{job}-plate-{}-{kind}@stonehand.invalid", run.id));
            e.add_property("DTSTAMP", instant(stamp));
            e.add_property("DTSTART", instant(from));
            e.add_property("DTEND", instant(to));
            e.summary(&summary);
            e.location(&machine);
            e.description(text);
            // Nobody is taken up by a print.
            e.add_property("TRANSP", if kind == "print" { "TRANSPARENT" } else { "OPAQUE" });
            calendar.push(e.done());
        };
        let named: Vec<String> =
            run.parts.iter().map(|(letter, name)| words::plain(&format!("{letter} {name}")).into_owned()).collect();
        let parts = format!("{copies} of {}", named.join(", "));
        if let Some((from, to)) = run.preparing {
            event("prepare", format!("{machine}: prepare and start plate {plate}"), from, to, &parts);
        }
        let range = run.end_range.map_or_else(String::new, |(least, most)| {
            let (least, most) = (least.to_zoned_datetime(zone.clone()), most.to_zoned_datetime(zone.clone()));
            let last = if least.date() == most.date() { "%H:%M" } else { "%a %-d %b %Y %H:%M" };
            format!(
                "; 95 of 100 such prints end between {} and {} ({})",
                least.strftime("%a %-d %b %Y %H:%M"),
                most.strftime(last),
                zone.iana_name().map_or_else(|| format!("UTC{}", least.strftime("%:z")), str::to_owned)
            )
        });
        event(
            "print",
            format!("{machine}: plate {plate}, {copies}"),
            run.print.0,
            run.print.1,
            &format!("{parts}{range}"),
        );
        if let Some((from, to)) = run.removal {
            event("removal", format!("{machine}: take plate {plate} off"), from, to, &parts);
        }
    }
    calendar.to_string().into_bytes()
}

/// "20261130T163000Z".
fn instant(t: Timestamp) -> String {
    t.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// A title as letters, digits and hyphens, with a number that tells it from one that reads alike.
fn uid_word(title: &str) -> String {
    let word: String =
        title.chars().take(40).map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    // FNV-1a, 64 bits.
    let hash = title.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x100_0000_01b3));
    format!("{word}-{hash:016x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run() -> RunRecord {
        let at = |text: &str| text.parse::<Timestamp>().expect("an instant");
        RunRecord {
            id: 22,
            plate: 3,
            machine: "Bench 1; left, \"new\"\nX-EVIL:1".into(),
            copies: 1,
            parts: vec![("A".into(), "frame spacer".into())],
            state: "planned",
            preparing: Some((at("2026-11-30T16:25:00Z"), at("2026-11-30T16:30:00Z"))),
            print: (at("2026-11-30T16:30:00Z"), at("2026-12-01T08:20:00Z")),
            end_range: Some((at("2026-12-01T06:53:00Z"), at("2026-12-01T09:55:00Z"))),
            cool: Some(at("2026-12-01T08:30:00Z")),
            removal: Some((at("2026-12-01T08:30:00Z"), at("2026-12-01T08:35:00Z"))),
            due: None,
            late_s: None,
        }
    }

    /// RFC 5545: lines end with CR LF and are folded at 75 octets; commas, semicolons and line breaks of a text are escaped.
    #[test]
    fn events_are_utc_stable_and_escaped() {
        let stamp = "2026-11-30T16:00:00Z".parse::<Timestamp>().expect("an instant");
        // Lisbon has UTC in winter (IANA time zone database).
        let lisbon = TimeZone::get("Europe/Lisbon").expect("a zone");
        let bytes = calendar("Hive fittings", &[run()], &lisbon, stamp);
        assert_eq!(bytes, calendar("Hive fittings", &[run()], &lisbon, stamp));
        let text = String::from_utf8(bytes).expect("text");
        assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && text.ends_with("END:VCALENDAR\r\n"), "{text}");
        assert_eq!(text.matches("BEGIN:VEVENT").count(), 3);
        assert_eq!(text.matches("DTSTAMP:20261130T160000Z\r\n").count(), 3);
        for line in ["DTSTART:20261130T163000Z\r\n", "DTEND:20261201T082000Z\r\n", "DTEND:20261201T083500Z\r\n"] {
            assert!(text.contains(line), "{line}{text}");
        }
        assert!(text.split("\r\n").all(|l| l.len() <= 75), "{text}");
        assert!(text.split("\r\n").all(|l| !l.starts_with("X-EVIL")), "{text}");
        // Another time: the same events.
        let later = RunRecord { print: (stamp, run().print.1), preparing: None, removal: None, ..run() };
        let unfolded = |t: &str| t.replace("\r\n ", "");
        let again = String::from_utf8(calendar("Hive fittings", &[later], &lisbon, stamp)).expect("text");
        let again = unfolded(&again);
        let uid = again.lines().find(|l| l.starts_with("UID:")).expect("a UID");
        assert!(unfolded(&text).contains(uid) && uid.contains("plate-22-print"), "{uid}");
        // What is over is nobody's appointment.
        let ended = RunRecord { state: "ended", ..run() };
        assert!(!String::from_utf8_lossy(&calendar("", &[ended], &lisbon, stamp)).contains("VEVENT"));
    }
}
