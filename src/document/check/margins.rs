//! Clearances are not negative.

use super::fault::{Fault, numbers};
use crate::document::{Job, limits::MARGINS};

/// Adds a fault for each clearance out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    numbers(&job.margins, MARGINS, "margins", faults);
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn a_negative_gap() {
        assert_eq!(faults_after(|j| j.margins.gap_mm = -0.5), ["margins.gap_mm"]);
    }

    #[test]
    fn a_tolerance_of_nothing() {
        assert_eq!(faults_after(|j| j.margins.tolerance_mm = 0.0), ["margins.tolerance_mm"]);
    }

    #[test]
    fn an_edge_that_is_no_number() {
        assert_eq!(faults_after(|j| j.margins.edge_mm = f64::NAN), ["margins.edge_mm"]);
    }
}
