//! Warp: long flat parts whose corners may lift.

use super::{Look, LookKind};
use crate::{
    geom::{Point, Region, hull},
    stability::{Conditions, MassProfile},
};

/// Shortening over the longest side from which a part with sharp corners is worth a look, mm; without them twice as much. Common
/// practice, no source.
const SHORTENS_MM: f64 = 0.4;
/// A corner of the hull that turns by more than this is sharp, radians.
const SHARP: f64 = std::f64::consts::FRAC_PI_3;

/// How a part shrinks on its bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warp {
    /// Free strain, α (T − Tₐ) from the limit temperature to the air. For a material whose limit is not its glass transition a bound.
    pub strain: f64,
    /// Longest distance across the contact, mm.
    pub longest_mm: f64,
    /// How much shorter that would become if nothing held it, mm.
    pub shortens_mm: f64,
    /// Lift of its ends if all of the strain went from bottom to top of the part, mm: an upper bound, L² ε / (8 h).
    pub lift_mm: f64,
    /// Stress if it is held fast, E ε, MPa: an upper bound.
    pub stress_mpa: f64,
    /// Sharp corners of the contact's hull.
    pub sharp_corners: usize,
}

/// Lift of the ends of an arc of this length and radius over its middle, mm: L² / (8 R) (chord and sagitta).
pub fn corner_lift_mm(length_mm: f64, radius_mm: f64) -> f64 {
    length_mm * length_mm / (8.0 * radius_mm)
}

/// How a part shrinks; `None` without contact or height.
pub fn warp(mass: &MassProfile, contact: &Region, conditions: &Conditions) -> Option<Warp> {
    let c = conditions.sound();
    let corners = hull::convex_hull(contact.outer_vertices().filter(|p| p.is_finite()));
    let (height, longest_mm) = (mass.height_mm(), hull::longest_span(&corners));
    if !(height > 0.0 && longest_mm > 0.0 && longest_mm.is_finite()) {
        return None;
    }
    let strain = c.expansion_um_m_k * 1e-6 * (c.limit_c - c.air_c).max(0.0);
    Some(Warp {
        strain,
        longest_mm,
        shortens_mm: strain * longest_mm,
        lift_mm: if strain > 0.0 { corner_lift_mm(longest_mm, height / strain).min(longest_mm) } else { 0.0 },
        stress_mpa: c.modulus_mpa * strain,
        sharp_corners: sharp_corners(&corners),
    })
}

fn sharp_corners(hull: &[Point]) -> usize {
    let n = hull.len();
    let turn = |i: usize| {
        let (a, b) = (hull[i] - hull[(i + n - 1) % n], hull[(i + 1) % n] - hull[i]);
        a.cross(b).atan2(a.dot(b))
    };
    if n < 3 { 0 } else { (0..n).filter(|&i| turn(i) > SHARP).count() }
}

pub(super) fn look(mass: &MassProfile, contact: &Region, c: &Conditions) -> Option<Look> {
    let w = warp(mass, contact, c)?;
    let threshold = if w.sharp_corners > 0 { SHORTENS_MM } else { 2.0 * SHORTENS_MM };
    let corners = match w.sharp_corners {
        0 => "without sharp corners".to_owned(),
        1 => "with 1 sharp corner".to_owned(),
        n => format!("with {n} sharp corners"),
    };
    (w.shortens_mm > threshold).then(|| Look {
        kind: LookKind::Warp,
        height_mm: 0.0,
        value: w.shortens_mm,
        threshold,
        text: format!("may warp: {:.0} mm long, {corners}, wants to shrink by {:.2} mm", w.longest_mm, w.shortens_mm),
        why: format!(
            "It shrinks by {:.2} % from {:.0} to {:.0} °C; held fast that is up to {:.0} MPa. Warmer air round the part helps.",
            w.strain * 100.0,
            c.limit_c,
            c.air_c,
            w.stress_mpa
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geom::disc,
        stability::{
            conditions::tests::worked,
            samples::{measured, prism, rectangle},
        },
    };

    fn abs() -> Conditions {
        Conditions { expansion_um_m_k: 93.6, limit_c: 105.0, modulus_mpa: 2300.0, ..worked() }
    }

    /// ABS: 93.6e-6 · (105 − 25) = 0.749 %, 0.749 mm on 100 mm, at most 17.2 MPa; an arc of 100 mm and R 5000 lifts by 0.25 mm.
    #[test]
    fn worked_values() {
        assert_eq!(corner_lift_mm(100.0, 5000.0), 0.25);
        let bar = rectangle((10_000.0_f64 - 400.0).sqrt(), 20.0);
        let w = warp(&measured(&prism(bar.clone(), 25)), &bar, &abs()).expect("a bar");
        assert!((w.strain - 0.007_488).abs() < 1e-9 && (w.longest_mm - 100.0).abs() < 1e-9);
        assert!((w.shortens_mm - 0.7488).abs() < 1e-6 && (w.stress_mpa - 17.22).abs() < 0.01);
        assert_eq!(w.sharp_corners, 4);
        // L² ε / (8 h) by hand, h = 5 mm.
        assert!((w.lift_mm - 10_000.0 * 0.007_488 / 40.0).abs() < 1e-9);
    }

    #[test]
    fn sharp_corners_and_size_decide() {
        let of = |region: Region, c: &Conditions| look(&measured(&prism(region.clone(), 25)), &region, c);
        let told = of(rectangle(96.0, 28.0), &abs()).expect("long");
        assert_eq!(told.text, "may warp: 100 mm long, with 4 sharp corners, wants to shrink by 0.75 mm");
        assert_eq!(of(rectangle(40.0, 20.0), &abs()), None);
        assert_eq!(of(rectangle(96.0, 28.0), &worked()), None, "PLA shrinks by 0.24 mm");
        // Round, of the same length.
        assert_eq!(of(disc::regular(Point::default(), 50.0, 90).into(), &abs()), None);
        assert!(of(disc::regular(Point::default(), 60.0, 90).into(), &abs()).is_some());
        assert_eq!(of(rectangle(96.0, 28.0), &Conditions { air_c: 105.0, ..abs() }), None, "a hot chamber");
    }
}
