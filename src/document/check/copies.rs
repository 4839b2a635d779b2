//! Places and turns of copies.

use super::fault::{Fault, numbers};
use crate::document::{
    Job,
    limits::{COPY, MOST_COPIES},
};

/// Adds a fault for each number of a copy out of its range, and one for more copies than a job holds.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let mut total = 0;
    for (i, plate) in job.plates.iter().enumerate() {
        for (k, c) in plate.copies.iter().enumerate() {
            numbers(c, COPY, &format!("plates[{i}].copies[{k}]"), faults);
        }
        total += plate.copies.len();
        if total > MOST_COPIES && total - plate.copies.len() <= MOST_COPIES {
            faults.push(Fault::new(
                format!("plates[{i}].copies"),
                format!("a job holds at most {MOST_COPIES} copies; put the further ones into another job"),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{Copy, CopyId};

    #[test]
    fn a_copy_a_thousand_kilometres_away() {
        assert_eq!(faults_after(|j| j.plates[0].copies[0].x_mm = 1e9), ["plates[0].copies[0].x_mm"]);
    }

    #[test]
    fn more_copies_than_a_job_holds() {
        let filled = |n: usize| {
            faults_after(|j| {
                let one = j.plates[0].copies[0].clone();
                j.next_id = 1_000_000;
                j.plates[0].copies = (0..n as u32)
                    .map(|i| Copy { id: CopyId(j.next_id - 1 - i), number: i + 1, ..one.clone() })
                    .collect();
            })
        };
        assert_eq!(filled(super::MOST_COPIES), [""; 0]);
        assert_eq!(filled(super::MOST_COPIES + 1), ["plates[0].copies"]);
    }

    #[test]
    fn a_turn_that_is_no_number() {
        assert_eq!(faults_after(|j| j.plates[0].copies[2].turn_deg = f64::NAN), ["plates[0].copies[2].turn_deg"]);
    }
}
