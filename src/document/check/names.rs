//! A letter names one part, a number one copy of it.

use std::collections::BTreeSet;

use super::fault::Fault;
use crate::document::Job;

/// Adds a fault for each letter, and each number of a copy, used twice.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let mut letters = BTreeSet::new();
    for (i, p) in job.parts.iter().enumerate() {
        if p.letter.is_empty() || p.letter.chars().count() > 8 || p.letter.chars().any(char::is_control) {
            faults.push(Fault::new(format!("parts[{i}].letter"), "a part's letter has one to eight letters"));
        } else if !letters.insert(&p.letter) {
            faults.push(Fault::new(
                format!("parts[{i}].letter"),
                format!("letter {} names another part already; use another", p.letter),
            ));
        }
    }
    let mut numbers = BTreeSet::new();
    for (i, plate) in job.plates.iter().enumerate() {
        for (k, c) in plate.copies.iter().enumerate() {
            if !numbers.insert((c.part, c.number)) {
                faults.push(Fault::new(
                    format!("plates[{i}].copies[{k}].number"),
                    format!("{} is there already; use another number", job.copy_name(c)),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn two_copies_with_one_name() {
        assert_eq!(faults_after(|j| j.plates[0].copies[1].number = 1), ["plates[0].copies[1].number"]);
    }

    #[test]
    fn two_parts_with_one_letter() {
        assert_eq!(faults_after(|j| j.parts[1].letter = "A".into()), ["parts[1].letter"]);
    }

    #[test]
    fn a_part_without_a_letter() {
        assert_eq!(faults_after(|j| j.parts[1].letter.clear()), ["parts[1].letter"]);
    }
}
