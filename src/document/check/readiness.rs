//! Readiness: texts and lists of sane length.

use super::{
    fault::{Fault, within},
    tally::text,
};
use crate::document::{
    Job, Readiness, ReadyItem,
    limits::{DUE_PLATES, MOST_INITIALS, MOST_OWN_ITEM, MOST_OWN_ITEMS, MOST_TICKS},
};

/// Adds a fault for what cannot be.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    readiness(&job.readiness, "readiness", faults);
}

/// Adds the faults of one list; `place` is where it stands in the file.
pub fn readiness(r: &Readiness, place: &str, faults: &mut Vec<Fault>) {
    within(faults, format!("{place}.surface_plates"), r.surface_plates.into(), DUE_PLATES);
    within(faults, format!("{place}.level_plates"), r.level_plates.into(), DUE_PLATES);
    let mut long = |field: &str, n: usize, most: usize| {
        if n > most {
            faults.push(Fault::new(format!("{place}.{field}"), format!("there are {n}; leave at most {most}")));
        }
    };
    long("own", r.own.len(), MOST_OWN_ITEMS);
    long("ticks", r.ticks.len(), MOST_TICKS);
    long("nozzles", r.nozzles.len(), MOST_TICKS);
    for (i, own) in r.own.iter().enumerate().take(MOST_OWN_ITEMS) {
        text(own, MOST_OWN_ITEM, &format!("{place}.own[{i}]"), faults);
        if own.trim().is_empty() {
            faults.push(Fault::new(format!("{place}.own[{i}]"), "an item needs a text"));
        }
    }
    for (i, tick) in r.ticks.iter().enumerate().take(MOST_TICKS) {
        text(&tick.by, MOST_INITIALS, &format!("{place}.ticks[{i}].by"), faults);
        if let ReadyItem::Own(own) = &tick.item {
            text(own, MOST_OWN_ITEM, &format!("{place}.ticks[{i}].item"), faults);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn texts_and_numbers() {
        assert_eq!(faults_after(|j| j.readiness.own = vec!["x".repeat(1000)]), ["readiness.own[0]"]);
        assert_eq!(faults_after(|j| j.readiness.own = vec![" ".into()]), ["readiness.own[0]"]);
        assert_eq!(faults_after(|j| j.readiness.surface_plates = 0), ["readiness.surface_plates"]);
        assert_eq!(faults_after(|j| j.readiness.own = vec!["a".into(); 1000]), ["readiness.own"]);
    }
}
