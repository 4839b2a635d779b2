//! What is checked before the start, and what bad copies are sorted by.

use crate::{
    batch::zone_of,
    document::{Cause, Job, ReadyItem, ReadyLine},
    words,
};

/// The checklist's lines, each for a box; those that were seen to say by whom and when. `removal` says what the line of part removal says.
pub(super) fn checks(job: &Job, lines: Vec<ReadyLine>, removal: &str) -> Vec<String> {
    let zone = zone_of(&job.shifts.hours);
    let said = |line: ReadyLine| {
        let text =
            if line.item == ReadyItem::Removal { removal.to_owned() } else { words::plain(&line.text).into_owned() };
        let Some((when, by)) = line.done else { return text };
        let when = when.to_zoned_datetime(zone.clone()).strftime("%-d %b %H:%M").to_string();
        let by = words::plain(by.trim()).into_owned();
        if by.is_empty() { format!("{text} (seen to {when})") } else { format!("{text} (seen to {when}, {by})") }
    };
    lines.into_iter().map(said).collect()
}

/// Causes as the tally has them: those that paper has room for.
pub(super) fn causes() -> Vec<String> {
    let on_paper = [Cause::CameLoose, Cause::TippedOver, Cause::Warped, Cause::Quality, Cause::Other];
    on_paper.map(|c| c.words().to_owned()).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::Timestamp;

    #[test]
    fn what_was_seen_to_says_by_whom() {
        let mut job = Job::default();
        job.shifts.hours.time_zone = "Europe/Lisbon".into();
        let line = |item: ReadyItem, by: Option<&str>| ReadyLine {
            item,
            text: "Level checked".into(),
            why: String::new(),
            done: by.map(|by| (Timestamp::from_second(1_804_493_100).expect("a time"), by.to_owned())),
        };
        let lines =
            vec![line(ReadyItem::Level, Some("JK")), line(ReadyItem::Clean, None), line(ReadyItem::Removal, Some(""))];
        let all = checks(&job, lines, "Parts come off below 40 °C");
        assert_eq!(all[0], "Level checked (seen to 8 Mar 08:05, JK)");
        assert_eq!(all[1], "Level checked");
        assert_eq!(all[2], "Parts come off below 40 °C (seen to 8 Mar 08:05)");
    }
}
