//! Clearances are not negative.

use super::{Fault, within};
use crate::document::Job;

/// Adds a fault for each clearance out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let m = &job.margins;
    for (name, value) in [("gap_mm", m.gap_mm), ("edge_mm", m.edge_mm), ("footing_gap_mm", m.footing_gap_mm)] {
        within(faults, format!("margins.{name}"), value, 0.0, 1000.0);
    }
    within(faults, "margins.tolerance_mm".into(), m.tolerance_mm, 1e-4, 1.0);
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
