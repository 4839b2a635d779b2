//! Poses, counts and footings of parts.

use super::fault::{Fault, numbers};
use crate::document::{Job, limits::PART};

/// Adds a fault for each number of a part out of its range.
pub fn check(job: &Job, faults: &mut Vec<Fault>) {
    for (i, p) in job.parts.iter().enumerate() {
        let place = format!("parts[{i}]");
        numbers(p, PART, &place, faults);
        if !is_rotation(&p.pose.rotation) {
            faults.push(Fault::new(
                format!("{place}.pose.rotation"),
                "the nine numbers are not a rotation; write three unit rows at right angles, right-handed",
            ));
        }
    }
}

/// Rows of unit length at right angles, determinant +1, to 1e-6.
fn is_rotation(m: &[[f64; 3]; 3]) -> bool {
    let dot = |a: &[f64; 3], b: &[f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    let cross = [
        m[0][1] * m[1][2] - m[0][2] * m[1][1],
        m[0][2] * m[1][0] - m[0][0] * m[1][2],
        m[0][0] * m[1][1] - m[0][1] * m[1][0],
    ];
    let near = |value: f64, asked: f64| (value - asked).abs() < 1e-6;
    (0..3).all(|i| (0..3).all(|k| near(dot(&m[i], &m[k]), if i == k { 1.0 } else { 0.0 })))
        && near(dot(&cross, &m[2]), 1.0)
}

#[cfg(test)]
mod tests {
    use super::super::sample::faults_after;
    use crate::document::{Footing, Pose, limits::FOOTING_WIDTH};

    #[test]
    fn a_mirror_is_no_rotation() {
        assert_eq!(faults_after(|j| j.parts[0].pose.rotation[2][2] = -1.0), ["parts[0].pose.rotation"]);
    }

    #[test]
    fn any_typed_turn_is_one() {
        assert!(faults_after(|j| j.parts[0].pose = Pose::turned_deg(33.0, -71.0)).is_empty());
        let laid = Pose::default().laid_on([0.3, -0.2, 0.4]);
        assert!(faults_after(|j| j.parts[0].pose = laid).is_empty());
    }

    #[test]
    fn a_size_of_nothing() {
        assert_eq!(faults_after(|j| j.parts[1].pose.scale_percent = 0.0), ["parts[1].pose.scale_percent"]);
    }

    #[test]
    fn a_negative_brim() {
        let places = faults_after(|j| j.parts[0].footing = Footing::Brim { width_mm: -3.0 });
        assert_eq!(places, ["parts[0].footing.width_mm"]);
    }

    /// No brim that could not be typed either: one of half a metre would be laid for ever.
    #[test]
    fn a_brim_beyond_reason() {
        let with = |width_mm| faults_after(|j| j.parts[0].footing = Footing::Brim { width_mm });
        assert!(with(FOOTING_WIDTH.most).is_empty());
        assert_eq!(with(500.0), ["parts[0].footing.width_mm"]);
    }

    #[test]
    fn an_order_beyond_reason() {
        assert_eq!(faults_after(|j| j.parts[0].wanted = 4_000_000_000), ["parts[0].wanted"]);
    }
}
