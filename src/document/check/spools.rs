//! Numbers of spools.

use super::fault::{Fault, numbers};
use crate::document::{Job, Spool, limits::SPOOL};

/// Adds a fault for each number of a spool out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, s) in job.spools.iter().enumerate() {
        spool(s, &format!("spools[{i}]"), faults);
    }
}

/// Adds the faults of one spool; `place` is where it stands in the file.
pub fn spool(s: &Spool, place: &str, faults: &mut Vec<Fault>) {
    numbers(s, SPOOL, place, faults);
}

#[cfg(test)]
mod tests {
    use super::super::sample::{faults_after, with_spool};

    #[test]
    fn less_than_nothing_left_and_a_tolerance_as_thick_as_the_filament() {
        let places = faults_after(|j| {
            let s = with_spool(j);
            (s.grams_left, s.tolerance_mm) = (-1.0, 1.75);
        });
        assert_eq!(places, ["spools[0].grams_left", "spools[0].tolerance_mm"]);
        assert_eq!(faults_after(|j| with_spool(j).grams_left = f64::NAN), ["spools[0].grams_left"]);
        assert_eq!(faults_after(|j| with_spool(j).grams_left = 0.0), [""; 0]);
    }
}
