//! The tally: numbers in their ranges, and counts that agree.

use std::collections::BTreeMap;

use super::fault::{Fault, numbers, within};
use crate::document::{
    Job, PlateOutcome,
    limits::{MOST_COPIES, MOST_INITIALS, MOST_NOTE, MOST_OUTCOMES, OUTCOME, OUTCOME_PLACE, YEARS},
};

/// Adds a fault for each outcome that cannot be.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let all = job.tally.outcomes();
    if all.len() > MOST_OUTCOMES {
        faults.push(Fault::new("tally", format!("there are {} outcomes; leave at most {MOST_OUTCOMES}", all.len())));
    }
    let mut seen = BTreeMap::new();
    for (i, o) in all.iter().enumerate().take(MOST_OUTCOMES) {
        let place = format!("tally[{i}]");
        outcome(o, &place, faults);
        if let Some(first) = seen.insert((o.plate, o.run), i) {
            let text = format!("run {} of this plate is tallied in tally[{first}] already; use another number", o.run);
            faults.push(Fault::new(format!("{place}.run"), text));
        }
    }
}

/// Adds the faults of one outcome; `place` is where it stands in the file.
pub fn outcome(o: &PlateOutcome, place: &str, faults: &mut Vec<Fault>) {
    numbers(o, OUTCOME, place, faults);
    text(&o.by, MOST_INITIALS, &format!("{place}.by"), faults);
    text(&o.note, MOST_NOTE, &format!("{place}.note"), faults);
    for (field, name) in
        [("machine_name", &o.machine_name), ("material_name", &o.material_name), ("recipe_name", &o.recipe_name)]
    {
        text(name, MOST_NOTE, &format!("{place}.{field}"), faults);
    }
    if o.run == 0 {
        faults.push(Fault::new(format!("{place}.run"), "runs are counted from 1"));
    }
    let year = o.ended.to_zoned_datetime(jiff::tz::TimeZone::UTC).year();
    if !(YEARS.0..=YEARS.1).contains(&year) {
        let text = format!("year {year} is out of range; write one from {} to {}", YEARS.0, YEARS.1);
        faults.push(Fault::new(format!("{place}.ended"), text));
    }
    for (k, mm) in o.bed_mm.iter().enumerate() {
        within(faults, format!("{place}.bed_mm[{k}]"), *mm, OUTCOME_PLACE);
    }
    // A plate printed twice at once holds twice as many.
    if o.copies.len() > 2 * MOST_COPIES {
        faults.push(Fault::new(format!("{place}.copies"), format!("a plate holds at most {} copies", 2 * MOST_COPIES)));
        return;
    }
    for (k, c) in o.copies.iter().enumerate() {
        for (field, mm) in [("x_mm", c.x_mm), ("y_mm", c.y_mm)] {
            within(faults, format!("{place}.copies[{k}].{field}"), mm, OUTCOME_PLACE);
        }
    }
    let (good, bad, lay) = (o.copies.len() - o.named_bad(), o.unnamed_bad as usize, o.copies.len());
    if bad > good {
        let text = format!("{} of {lay} copies cannot be bad; write fewer", o.named_bad().saturating_add(bad));
        faults.push(Fault::new(format!("{place}.unnamed_bad"), text));
    }
}

/// Adds a fault for a text that is too long, or that would not stay in its line.
pub fn text(text: &str, most: usize, place: &str, faults: &mut Vec<Fault>) {
    let long = text.chars().count();
    if long > most {
        faults.push(Fault::new(place, format!("it has {long} letters; write at most {most}")));
    } else if text.chars().any(char::is_control) {
        faults.push(Fault::new(place, "it holds characters that are no text; write one line of text"));
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{Job, PlateOutcome, Tally, plate_outcome::sample::outcome};

    fn with(j: &mut Job, change: impl FnOnce(&mut PlateOutcome)) {
        let mut o = outcome(j.plates[0].id.0, &[1, 1, 2]);
        change(&mut o);
        j.tally = Tally::new(vec![o]);
    }

    #[test]
    fn numbers_texts_and_counts() {
        assert_eq!(faults_after(|j| with(j, |_| {})), Vec::<String>::new());
        for bad in [f64::NAN, -1.0, 1e12] {
            assert_eq!(faults_after(|j| with(j, |o| o.actual_s = bad)), ["tally[0].actual_s"]);
            assert_eq!(faults_after(|j| with(j, |o| o.actual_g = Some(bad))), ["tally[0].actual_g"]);
            assert_eq!(faults_after(|j| with(j, |o| o.estimated_s = Some(bad))), ["tally[0].estimated_s"]);
        }
        assert_eq!(faults_after(|j| with(j, |o| o.by = "J".repeat(10_000))), ["tally[0].by"]);
        assert_eq!(faults_after(|j| with(j, |o| o.note = "a\u{1b}b".into())), ["tally[0].note"]);
        assert_eq!(faults_after(|j| with(j, |o| o.unnamed_bad = 4)), ["tally[0].unnamed_bad"]);
        assert_eq!(faults_after(|j| with(j, |o| o.unnamed_bad = u32::MAX)), ["tally[0].unnamed_bad"]);
        assert_eq!(faults_after(|j| with(j, |o| o.run = 0)), ["tally[0].run"]);
        assert_eq!(faults_after(|j| with(j, |o| o.copies[1].x_mm = f64::INFINITY)), ["tally[0].copies[1].x_mm"]);
    }

    #[test]
    fn a_run_is_tallied_once() {
        let twice = |j: &mut Job| {
            let o = outcome(j.plates[0].id.0, &[1]);
            let other = PlateOutcome { id: crate::document::OutcomeId(1), ..o.clone() };
            j.tally = Tally::new(vec![o, other]);
        };
        assert_eq!(faults_after(twice), ["tally[1].run"]);
    }
}
