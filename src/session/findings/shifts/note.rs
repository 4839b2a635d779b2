//! A finding about the plan.

use crate::{
    document::{Job, MachineId, PlateId},
    finding::{Finding, FindingKind, Level},
    session::shifts::Timeline,
    words,
};

/// A finding about a plate, or about the job.
pub(super) fn note(level: Level, kind: FindingKind, plate: Option<PlateId>, text: String) -> Finding {
    Finding { level, kind, plate, copies: Vec::new(), height_mm: None, text, remedy: None, more: Vec::new() }
}

/// A machine's name.
pub(super) fn machine(job: &Job, id: Option<MachineId>) -> &str {
    id.and_then(|id| job.machine(id)).map_or("its machine", |m| m.name.as_str())
}

/// A due date in words: "Wed 2 Dec" for a day, "Wed 08:00" for a time; with the year where it is not the present one.
pub(super) fn due_words(t: &Timeline, due: &str, due_s: i64) -> String {
    let day = due.trim();
    let this_year = t.calendar.at(t.now_s).year();
    match day.parse::<jiff::civil::Date>() {
        Ok(d) if !day.contains([':', 'T', 't']) => {
            d.strftime(if d.year() == this_year { "%a %-d %b" } else { "%a %-d %b %Y" }).to_string()
        }
        _ => time_words(t, due_s),
    }
}

/// A time in words: "Wed 08:00", "Fri 8 Jan 2027 08:00" in another year than the present one.
pub(super) fn time_words(t: &Timeline, at_s: i64) -> String {
    let at = t.calendar.at(at_s);
    if at.year() == t.calendar.at(t.now_s).year() {
        return t.calendar.words(at_s);
    }
    at.strftime("%a %-d %b %Y %H:%M").to_string()
}

/// "2 h 40 min", "3 days 4 h", of whole seconds.
pub(super) fn length(s: i64) -> String {
    words::long_time(s as f64)
}

/// "plate 3", "plates 3 and 5", "plates 1, 2 and 7".
pub(super) fn plates(numbers: &[usize]) -> String {
    match numbers {
        [] => "no plate".into(),
        [one] => format!("plate {one}"),
        [some @ .., last] => {
            let some: Vec<String> = some.iter().map(ToString::to_string).collect();
            format!("plates {} and {last}", some.join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn plates_in_words() {
        let told = [&[3][..], &[3, 5], &[1, 2, 7], &[]].map(super::plates);
        assert_eq!(told, ["plate 3", "plates 3 and 5", "plates 1, 2 and 7", "no plate"]);
    }
}
