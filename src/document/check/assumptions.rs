//! Forces and safety factors.

use super::fault::{Fault, numbers, within};
use crate::document::{
    Assumptions, Job,
    limits::{ASSUMPTIONS, FAILING},
};

/// Adds a fault for each assumption out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    assumptions(&job.assumptions, "assumptions", faults);
}

/// Adds the faults of one set of assumptions; `place` is where it stands in the file.
pub fn assumptions(a: &Assumptions, place: &str, faults: &mut Vec<Fault>) {
    numbers(a, ASSUMPTIONS, place, faults);
    for (part, percent) in &a.failing_of {
        within(faults, format!("{place}.failing_of.{}", part.0), *percent, FAILING);
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn a_push_below_nothing_and_a_factor_below_one() {
        assert_eq!(faults_after(|j| j.assumptions.sideways_n = -1.0), ["assumptions.sideways_n"]);
        assert_eq!(faults_after(|j| j.assumptions.safety_factor = 0.5), ["assumptions.safety_factor"]);
        assert_eq!(faults_after(|j| j.assumptions.safety_factor = f64::NAN), ["assumptions.safety_factor"]);
        assert_eq!(faults_after(|j| j.assumptions.brim_clean_up_s = -1.0), ["assumptions.brim_clean_up_s"]);
        assert_eq!(faults_after(|j| j.assumptions.raft_clean_up_s = f64::NAN), ["assumptions.raft_clean_up_s"]);
        assert_eq!(faults_after(|j| j.assumptions.failing_percent = 100.5), ["assumptions.failing_percent"]);
    }
}
