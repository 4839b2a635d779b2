//! Weights of preferences.

use super::fault::{Fault, numbers};
use crate::document::{Job, limits::PREFERENCES};

/// Adds a fault for each weight out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    numbers(&job.preferences, PREFERENCES, "preferences", faults);
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn weights_beyond_all_and_none() {
        // "A lot", as the window has it.
        assert_eq!(faults_after(|j| j.preferences.middle = 3.0), [""; 0]);
        assert_eq!(faults_after(|j| j.preferences.middle = 3.5), ["preferences.middle"]);
        assert_eq!(faults_after(|j| j.preferences.tall_back = -0.1), ["preferences.tall_back"]);
        assert_eq!(faults_after(|j| j.preferences.away = f64::NAN), ["preferences.away"]);
    }
}
