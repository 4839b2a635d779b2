//! Slenderness: height over the least width of the base.

use super::{Look, LookKind};
use crate::{
    geom::{Region, hull},
    stability::MassProfile,
};

/// Above it a part is worth a look. Common practice, no source.
pub const SLENDER_LOOK: f64 = 3.0;
/// Above it a part gets a brim. Common practice, no source.
pub const SLENDER_BRIM: f64 = 5.0;
/// Above it a part gets a raft or supports. Common practice, no source.
pub const SLENDER_RAFT: f64 = 8.0;
/// A needle's number ends here.
const MOST: f64 = 1e6;

/// Height over the least width of the contact's hull; at most a million. `None` without a contact or a height.
pub fn slenderness(mass: &MassProfile, contact: &Region) -> Option<f64> {
    let points = contact.outer_vertices().filter(|p| p.is_finite());
    let (width, _) = hull::least_width(&hull::convex_hull(points));
    let height = mass.height_mm();
    let number = (height / width).min(MOST);
    (height > 0.0 && width > 0.0 && number.is_finite()).then_some(number)
}

pub(super) fn look(mass: &MassProfile, contact: &Region) -> Option<Look> {
    let value = slenderness(mass, contact).filter(|s| *s > SLENDER_LOOK)?;
    let (threshold, usual) = match value {
        s if s > SLENDER_RAFT => (SLENDER_RAFT, "a raft or supports"),
        s if s > SLENDER_BRIM => (SLENDER_BRIM, "a brim"),
        _ => (SLENDER_LOOK, "a look"),
    };
    let height = mass.height_mm();
    Some(Look {
        kind: LookKind::Slender,
        height_mm: height,
        value,
        threshold,
        text: format!("stands tall: {height:.1} mm on a base {:.1} mm wide ({value:.1} to 1)", height / value),
        why: format!("Above {threshold} to 1 {usual} is common practice."),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::samples::{at, measured, prism, rectangle, square};

    #[test]
    fn three_five_and_eight() {
        for (layers, asked) in
            [(150, None), (200, Some("a look")), (300, Some("a brim")), (450, Some("a raft or supports"))]
        {
            let sections = prism(rectangle(30.0, 10.0), layers);
            let look = look(&measured(&sections), &sections[0]);
            assert_eq!(look.is_some(), asked.is_some(), "{layers} layers");
            assert!(look.is_none_or(|l| l.why.contains(asked.unwrap_or_default())));
        }
    }

    #[test]
    fn feet_apart_count_together_and_needles_end() {
        let feet = Region {
            polygons: [at(square(4.0), -10.0, 0.0), at(square(4.0), 10.0, 0.0)]
                .map(|mut r| r.polygons.remove(0))
                .to_vec(),
        };
        let tall = measured(&prism(square(20.0), 500));
        assert!((slenderness(&tall, &feet).unwrap_or_default() - 25.0).abs() < 1e-9);
        assert_eq!(slenderness(&tall, &rectangle(1e-9, 5.0)), Some(MOST));
        assert_eq!(slenderness(&tall, &Region::EMPTY), None);
    }
}
