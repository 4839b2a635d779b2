//! What a part stands on: its contact, widened by its footing.

use super::Conditions;
use crate::{
    document::Footing,
    geom::{Point, Region, hull, modulus, moments, offset, simplify},
};

/// How far widened contacts may be off, mm.
const TOLERANCE_MM: f64 = 0.005;

/// What a part stands on, in its own coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct Stance {
    /// Hull of contact, footing and support patches, counter-clockwise; fewer than three points where there is no contact.
    pub hull: Vec<Point>,
    /// Area of contact and footing, mm².
    pub area_mm2: f64,
    /// Its centroid.
    pub centre: Point,
    /// Least section modulus of contact and footing, mm³.
    pub modulus_mm3: f64,
    /// How far the footing widens the contact, mm: its width, or what of it holds.
    pub effective_mm: f64,
    /// How far a raft lifts the part, mm.
    pub lift_mm: f64,
}

/// How much of a brim or raft of this thickness holds, mm: a strip lifts by bending once p x²/2 = `σ_b` h²/6, so
/// x = h √(`σ_b` / (3 p)). Infinite where nothing pulls. Own derivation from the bending of a strip.
pub fn effective_width_mm(thickness_mm: f64, flexural_mpa: f64, adhesion_mpa: f64) -> f64 {
    let x = thickness_mm.max(0.0) * (flexural_mpa.max(0.0) / (3.0 * adhesion_mpa.max(0.0))).sqrt();
    if x.is_nan() { 0.0 } else { x }
}

impl Stance {
    /// Of a contact with a footing. `supports` are the patches on which supports stand: they keep the part from leaning over but do not
    /// count for adhesion. A raft counts as rigid and as holding the part as firmly as it is held itself.
    pub fn new(contact: &Region, supports: Option<&Region>, footing: Footing, conditions: &Conditions) -> Self {
        let c = conditions.sound();
        let width = footing.width_mm();
        let width = if width.is_finite() { width.max(0.0) } else { 0.0 };
        let (thickness, lift_mm) = match footing {
            Footing::Bare => (0.0, 0.0),
            Footing::Brim { .. } => (c.first_layer_mm, 0.0),
            Footing::Raft { .. } => (c.raft_mm, c.raft_mm),
        };
        let effective_mm = match footing {
            Footing::Bare => 0.0,
            _ => width.min(effective_width_mm(thickness, c.flexural_mpa, c.adhesion_mpa)),
        };
        let sound = contact.vertices().all(Point::is_finite);
        let widened = match sound {
            false => Region::EMPTY,
            true if effective_mm > 0.0 => {
                offset::grow(&simplify::within(contact, TOLERANCE_MM), effective_mm, TOLERANCE_MM)
            }
            true => contact.clone(),
        };
        let m = moments::moments(&widened);
        let patches = supports.into_iter().flat_map(Region::outer_vertices).filter(|p| p.is_finite());
        let has_contact = m.area > 0.0 && m.area.is_finite();
        Self {
            hull: if has_contact { hull::convex_hull(widened.outer_vertices().chain(patches)) } else { Vec::new() },
            area_mm2: if has_contact { m.area } else { 0.0 },
            centre: if m.centroid.is_finite() { m.centroid } else { Point::default() },
            modulus_mm3: modulus::least_modulus_with(&m, widened.outer_vertices()),
            effective_mm,
            lift_mm,
        }
    }
    /// Least width of the hull, mm.
    pub fn least_width_mm(&self) -> f64 {
        hull::least_width(&self.hull).0
    }
    /// Distance from the centre to the hull's border towards `to`, mm; 0 where there is no hull.
    pub(super) fn reach_mm(&self, to: Point) -> f64 {
        let along = (to - self.centre).normalized();
        if self.hull.len() < 3 || !along.is_finite() {
            return 0.0;
        }
        // The centre lies inside: the nearest edge line that the ray meets.
        let meets = |i: usize| {
            let (a, b) = (self.hull[i], self.hull[(i + 1) % self.hull.len()]);
            let out = -(b - a).perpendicular();
            let towards = along.dot(out);
            (towards > 0.0).then(|| ((a - self.centre).dot(out) / towards).max(0.0))
        };
        (0..self.hull.len()).filter_map(meets).fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stability::{
        conditions::tests::worked,
        samples::{at, rectangle, square},
    };

    /// Effective widths of PLA (flexural strength 80 MPa), h 0.2: 4.62, 3.27 and 1.89 mm at 0.05, 0.1 and 0.3 MPa; a raft of 0.8 mm at 0.1: 13.1.
    #[test]
    fn effective_widths() {
        for (h, p, x) in [(0.2, 0.05, 4.62), (0.2, 0.1, 3.27), (0.2, 0.3, 1.89), (0.8, 0.1, 13.06)] {
            assert!((effective_width_mm(h, 80.0, p) - x).abs() < 0.006, "{x}");
        }
        assert_eq!(effective_width_mm(0.2, 80.0, 0.0), f64::INFINITY);
        assert_eq!(effective_width_mm(0.2, 0.0, 0.0), 0.0);
    }

    /// 10 × 10 mm with a 5 mm brim that holds all over: 378.54 mm², and eight times the modulus or thereabouts (own figures, shapely).
    #[test]
    fn a_brim_that_holds_and_one_that_lifts() {
        let strong = Conditions { flexural_mpa: 800.0, ..worked() };
        let brim = Footing::Brim { width_mm: 5.0 };
        let s = Stance::new(&square(10.0), None, brim, &strong);
        assert_eq!(s.effective_mm, 5.0);
        assert!((378.53..379.1).contains(&s.area_mm2), "{}", s.area_mm2);
        let bare = Stance::new(&square(10.0), None, Footing::Bare, &strong);
        let grown = s.modulus_mm3 / bare.modulus_mm3;
        assert!((6.5..9.0).contains(&grown), "{grown}");
        let s = Stance::new(&square(10.0), None, brim, &worked());
        assert!((s.effective_mm - 3.266).abs() < 1e-3 && s.lift_mm == 0.0);
        let raft = Stance::new(&square(10.0), None, Footing::Raft { width_mm: 5.0 }, &worked());
        assert_eq!((raft.effective_mm, raft.lift_mm), (5.0, 0.8));
    }

    #[test]
    fn supports_widen_the_hull_alone() {
        let foot = at(square(4.0), 30.0, 0.0);
        let s = Stance::new(&square(10.0), Some(&foot), Footing::Bare, &worked());
        assert_eq!(s.area_mm2, 100.0);
        assert!((s.reach_mm(Point::new(1.0, 0.0)) - 32.0).abs() < 1e-9);
        assert!((s.reach_mm(Point::new(-9.0, 0.0)) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_and_nonsense() {
        for contact in [Region::EMPTY, square(10.0).map(|p| Point::new(p.x / 0.0, p.y))] {
            let s = Stance::new(&contact, None, Footing::Brim { width_mm: f64::NAN }, &worked());
            assert_eq!((s.hull.len(), s.area_mm2, s.modulus_mm3), (0, 0.0, 0.0));
            assert_eq!(s.reach_mm(Point::new(1.0, 0.0)), 0.0);
        }
        let needle = Stance::new(&rectangle(20.0, 1e-9), None, Footing::Bare, &worked());
        assert!(needle.modulus_mm3.is_finite() && needle.reach_mm(Point::new(0.0, 1.0)) < 1e-8);
    }
}
