//! Thin start: contact area against the largest section above.

use super::{Look, LookKind};
use crate::{geom::Region, stability::MassProfile};

/// A contact under this share of the largest section above it is worth a look. Common practice, no source.
const LEAST_SHARE: f64 = 0.25;

pub(super) fn look(mass: &MassProfile, contact: &Region) -> Option<Look> {
    let widest = mass.layers().iter().max_by(|a, b| a.area_mm2.total_cmp(&b.area_mm2)).filter(|l| l.area_mm2 > 0.0)?;
    let area = sound(contact.area());
    let share = area / widest.area_mm2;
    (share < LEAST_SHARE).then(|| Look {
        kind: LookKind::ThinStart,
        height_mm: widest.top_mm,
        value: share,
        threshold: LEAST_SHARE,
        text: format!(
            "starts thin: contact {area:.1} mm², {:.0} mm² at {:.1} mm ({:.0} %)",
            widest.area_mm2,
            widest.top_mm,
            share * 100.0
        ),
        why: "A small contact carries a much wider section.".into(),
    })
}

/// An area that is a number.
pub(super) fn sound(area: f64) -> f64 {
    if area.is_finite() { area.max(0.0) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::samples::{measured, square};

    /// A funnel of 6 to 30 mm: 36 mm² of contact under 888 mm² (by hand), 4 %.
    #[test]
    fn a_funnel() {
        let sections: Vec<Region> = (0..120).map(|i| square(6.0 + 0.2 * f64::from(i))).collect();
        let look = look(&measured(&sections), &sections[0]).expect("thin");
        assert_eq!(look.text, "starts thin: contact 36.0 mm², 888 mm² at 24.0 mm (4 %)");
        assert!((look.value - 36.0 / 29.8_f64.powi(2)).abs() < 1e-9);
    }

    #[test]
    fn half_as_wide_is_wide_enough() {
        let sections = [square(10.0), square(20.0)];
        assert_eq!(look(&measured(&sections), &sections[0]), None);
        assert!(look(&measured(&sections), &square(9.9)).is_some());
    }
}
