//! Hours that nobody has set, that are empty, or that say two things of one day.

use jiff::civil::Date;

use super::note::note;
use crate::{
    document::{Job, OtherHours},
    finding::{Finding, FindingKind, Level, Remedy},
    session::shifts::Timeline,
};

/// Pairs of exceptions named.
const NAMED: usize = 5;

/// All about the hours themselves.
pub(super) fn findings(job: &Job, t: &Timeline) -> Vec<Finding> {
    let hours = &job.shifts.hours;
    let mut all = Vec::new();
    if hours.people == 0 {
        let text = "The shop has 0 people: nobody starts a plate. Set how many people are there.".to_owned();
        all.push(note(Level::Watch, FindingKind::NoHours, None, text));
    } else if t.calendar.attended().is_empty() {
        let text = "Nobody is ever there: the hours are empty. Set the hours of at least one day.".to_owned();
        all.push(note(Level::Watch, FindingKind::NoHours, None, text));
    } else if t.hours_are_example {
        let text =
            "The hours are an example, Monday to Friday from 08:00 to 17:00 with one person: set your own.".to_owned();
        let finding = note(Level::Note, FindingKind::NoHours, None, text);
        all.push(Finding { remedy: Some(Remedy::UseHours), ..finding });
    }
    let mut named = 0;
    for (i, a) in hours.exceptions.iter().enumerate() {
        let Some(b) = hours.exceptions[i + 1..].iter().find(|b| a.from <= b.to && b.from <= a.to) else { continue };
        named += 1;
        if named > NAMED {
            break;
        }
        let text = format!(
            "The exceptions {} and {} share a day. The later one in the list applies: take the day out of the other one.",
            days(a),
            days(b)
        );
        all.push(note(Level::Note, FindingKind::Hours, None, text));
    }
    all
}

/// "24 Dec to 26 Dec (works holiday)".
fn days(e: &OtherHours) -> String {
    let day = |d: Date| d.strftime("%-d %b %Y").to_string();
    let name = if e.name.is_empty() { String::new() } else { format!(" ({})", e.name) };
    if e.from == e.to { format!("{}{name}", day(e.from)) } else { format!("{} to {}{name}", day(e.from), day(e.to)) }
}
