//! People's hours, changeovers, downtimes.

use jiff::civil::{Date, DateTime};

use super::fault::{Fault, numbers};
use crate::document::{
    Hours, Job, Shifts, Span, WEEKDAYS,
    limits::{CHANGEOVER, MOST_EXCEPTIONS, MOST_PEOPLE, MOST_SPANS, YEARS},
};

/// Adds a fault for hours, changeovers, dates and references between order lines that cannot be.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    shifts(&job.shifts, "shifts", faults);
}

/// Adds the faults of one set of hours and changeovers; `place` is where it stands in the file.
pub fn shifts(s: &Shifts, place: &str, faults: &mut Vec<Fault>) {
    numbers(&s.changeover, CHANGEOVER, &format!("{place}.changeover"), faults);
    hours(&s.hours, &format!("{place}.hours"), faults);
    if let Some(start) = s.start {
        year(start.date(), &format!("{place}.start"), faults);
    }
}

fn hours(h: &Hours, place: &str, faults: &mut Vec<Fault>) {
    if h.people > MOST_PEOPLE {
        faults.push(Fault::new(format!("{place}.people"), format!("write a number from 0 to {MOST_PEOPLE}")));
    }
    if !h.time_zone.is_empty() && jiff::tz::TimeZone::get(&h.time_zone).is_err() {
        let name: String = h.time_zone.chars().take(60).collect();
        let text =
            format!("there is no time zone {name:?}; write a name such as Europe/Lisbon, or none for this computer's");
        faults.push(Fault::new(format!("{place}.time_zone"), text));
    }
    for (i, day) in h.week.iter().enumerate() {
        spans(day, &format!("{place}.week[{i}]"), WEEKDAYS[i], faults);
    }
    if h.exceptions.len() > MOST_EXCEPTIONS {
        let text = format!("there are {} exceptions; leave at most {MOST_EXCEPTIONS}", h.exceptions.len());
        faults.push(Fault::new(format!("{place}.exceptions"), text));
    }
    for (i, e) in h.exceptions.iter().enumerate().take(MOST_EXCEPTIONS) {
        let place = format!("{place}.exceptions[{i}]");
        year(e.from, &format!("{place}.from"), faults);
        year(e.to, &format!("{place}.to"), faults);
        if e.to < e.from {
            faults.push(Fault::new(format!("{place}.to"), format!("{} is before {}; swap the days", e.to, e.from)));
        }
        spans(&e.spans, &format!("{place}.spans"), &e.from.to_string(), faults);
    }
}

/// Spans of one day in order, none over another.
fn spans(day: &[Span], place: &str, name: &str, faults: &mut Vec<Fault>) {
    if day.len() > MOST_SPANS {
        faults.push(Fault::new(place, format!("{name} has {} spans; leave at most {MOST_SPANS}", day.len())));
        return;
    }
    for (k, pair) in day.windows(2).enumerate() {
        let past_midnight = pair[0].to <= pair[0].from;
        if past_midnight || pair[1].from < pair[0].to {
            let (a, b) = (pair[0], pair[1]);
            let text = format!(
                "on {name}, {} to {} and {} to {} overlap or are not in order; correct one of them",
                a.from, a.to, b.from, b.to
            );
            faults.push(Fault::new(format!("{place}[{}]", k + 1), text));
        }
    }
}

/// Adds a fault where a day lies beyond reason.
fn year(day: Date, place: &str, faults: &mut Vec<Fault>) {
    let (least, most) = YEARS;
    if !(least..=most).contains(&day.year()) {
        faults.push(Fault::new(place, format!("{day} is out of range; write a year from {least} to {most}")));
    }
}

/// Adds the faults of a machine's downtimes.
pub fn downtimes(list: &[crate::document::Downtime], place: &str, faults: &mut Vec<Fault>) {
    if list.len() > MOST_EXCEPTIONS {
        faults.push(Fault::new(place, format!("there are {} downtimes; leave at most {MOST_EXCEPTIONS}", list.len())));
    }
    let at = |t: DateTime| t.date();
    for (k, d) in list.iter().enumerate().take(MOST_EXCEPTIONS) {
        year(at(d.from), &format!("{place}[{k}].from"), faults);
        year(at(d.to), &format!("{place}[{k}].to"), faults);
        if d.to <= d.from {
            faults.push(Fault::new(format!("{place}[{k}].to"), "the downtime ends before it begins; swap the times"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{ClockTime, Downtime, OtherHours, Span};

    fn span(from: u16, to: u16) -> Span {
        let at = |h| ClockTime::new(h, 0).expect("a time of day");
        Span { from: at(from), to: at(to) }
    }

    #[test]
    fn hours_that_cannot_be() {
        assert_eq!(
            faults_after(|j| j.shifts.hours.week[1] = vec![span(8, 12), span(11, 17)]),
            ["shifts.hours.week[1][1]"]
        );
        assert_eq!(
            faults_after(|j| j.shifts.hours.week[6] = vec![span(22, 6), span(8, 9)]),
            ["shifts.hours.week[6][1]"]
        );
        assert!(faults_after(|j| j.shifts.hours.week[6] = vec![span(8, 12), span(22, 6)]).is_empty());
        assert_eq!(faults_after(|j| j.shifts.hours.people = 70_000), ["shifts.hours.people"]);
        assert_eq!(faults_after(|j| j.shifts.hours.time_zone = "Moon/Dust".into()), ["shifts.hours.time_zone"]);
        assert!(faults_after(|j| j.shifts.hours.time_zone = "Europe/Lisbon".into()).is_empty());
        assert_eq!(faults_after(|j| j.shifts.changeover.removal_s = -1.0), ["shifts.changeover.removal_s"]);
    }

    #[test]
    fn days_out_of_order() {
        let day = |d| jiff::civil::date(2026, 12, d);
        let off = OtherHours { from: day(24), to: day(23), name: String::new(), spans: Vec::new() };
        assert_eq!(faults_after(|j| j.shifts.hours.exceptions = vec![off]), ["shifts.hours.exceptions[0].to"]);
        let down = Downtime { from: day(3).at(9, 0, 0, 0), to: day(3).at(8, 0, 0, 0), why: String::new() };
        assert_eq!(faults_after(|j| j.machines[0].downtimes = vec![down]), ["machines[0].downtimes[0].to"]);
        assert_eq!(
            faults_after(|j| j.shifts.start = Some(jiff::civil::date(9000, 1, 1).at(0, 0, 0, 0))),
            ["shifts.start"]
        );
    }
}
