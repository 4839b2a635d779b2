//! Weights of preferences are shares.

use super::{Fault, within};
use crate::document::Job;

/// Adds a fault for each weight that is not from 0 to 1.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    let p = &job.preferences;
    for (name, weight) in [
        ("middle", p.middle),
        ("away", p.away),
        ("tall_back", p.tall_back),
        ("tall_apart", p.tall_apart),
        ("travel", p.travel),
    ] {
        within(faults, format!("preferences.{name}"), weight, 0.0, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn weights_beyond_all_and_none() {
        assert_eq!(faults_after(|j| j.preferences.middle = 1.5), ["preferences.middle"]);
        assert_eq!(faults_after(|j| j.preferences.tall_back = -0.1), ["preferences.tall_back"]);
        assert_eq!(faults_after(|j| j.preferences.away = f64::NAN), ["preferences.away"]);
    }
}
