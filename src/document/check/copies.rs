//! Places and turns of copies.

use super::{FARTHEST_MM, Fault, parts::footing, within};
use crate::document::Job;

/// Adds a fault for each number of a copy out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, plate) in job.plates.iter().enumerate() {
        for (k, c) in plate.copies.iter().enumerate() {
            let place = format!("plates[{i}].copies[{k}]");
            within(faults, format!("{place}.x_mm"), c.x_mm, -FARTHEST_MM, FARTHEST_MM);
            within(faults, format!("{place}.y_mm"), c.y_mm, -FARTHEST_MM, FARTHEST_MM);
            within(faults, format!("{place}.turn_deg"), c.turn_deg, -1e6, 1e6);
            if let Some(f) = c.footing {
                footing(f, &format!("{place}.footing"), faults);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;

    #[test]
    fn a_copy_a_thousand_kilometres_away() {
        assert_eq!(faults_after(|j| j.plates[0].copies[0].x_mm = 1e9), ["plates[0].copies[0].x_mm"]);
    }

    #[test]
    fn a_turn_that_is_no_number() {
        assert_eq!(faults_after(|j| j.plates[0].copies[2].turn_deg = f64::NAN), ["plates[0].copies[2].turn_deg"]);
    }
}
