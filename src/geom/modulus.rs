//! Section modulus in the worst direction.

use super::{Moments, Point, Region, moments};

/// Least section modulus over all directions of bending, mm³: S = 1 / max |K⁻¹ (v − c)| over all vertices v, with centroid c and
/// K = [[∫x², ∫xy], [∫xy, ∫y²]] about it. A moment M in any direction stresses no point by more than M ÷ S.
///
/// Several polygons count as one rigid section about their common centroid. 0 where the region has no area or is a line.
/// Source: the handbook formula of unsymmetric bending, σ = M · K⁻¹ (v − c), turned to its worst direction.
pub fn least_modulus(region: &Region) -> f64 {
    least_modulus_with(&moments::moments(region), region.outer_vertices())
}

/// As [`least_modulus`], of a section with these moments and these outermost points: its vertices or the corners of its hull.
pub fn least_modulus_with(m: &Moments, outermost: impl IntoIterator<Item = Point>) -> f64 {
    let determinant = m.xx * m.yy - m.xy * m.xy;
    // A line, but for rounding: nothing resists across it.
    let least = 1e-18 * (m.xx + m.yy) * (m.xx + m.yy);
    if determinant.is_nan() || determinant <= least {
        return 0.0;
    }
    let stress = |v: Point| {
        let d = v - m.centroid;
        Point::new(m.yy * d.x - m.xy * d.y, m.xx * d.y - m.xy * d.x).length() / determinant
    };
    let most = outermost.into_iter().map(stress).fold(0.0, f64::max);
    if most > 0.0 && most.is_finite() { 1.0 / most } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use proptest::prelude::*;

    use super::*;
    use crate::geom::{
        Bounds, Placement, Polygon, boolean, disc,
        samples::{bracket, square, star},
    };

    fn near(value: f64, asked: f64, share: f64) {
        assert!((value / asked - 1.0).abs() < share, "{value} is not {asked}");
    }

    fn rectangle(width: f64, depth: f64) -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(width, depth)))
    }

    /// Computed with numpy from the handbook formulas: a square pushed along its diagonal, a³ / (6 √2); rectangle 20 × 5; an L; a
    /// triangle; a circle of 256 sides.
    #[test]
    fn worked_sections() {
        near(least_modulus(&square(3.0, -7.0, 10.0)), 117.851_130, 1e-8);
        near(least_modulus(&square(0.0, 0.0, 20.0)), 20.0_f64.powi(3) / (6.0 * 2.0_f64.sqrt()), 1e-12);
        near(least_modulus(&rectangle(20.0, 5.0)), 80.845_2, 1e-6);
        near(least_modulus(&bracket()), 1_167.798, 1e-6);
        let triangle = [[0.0, 0.0], [30.0, 0.0], [0.0, 20.0]].map(Point::from).to_vec();
        near(least_modulus(&Polygon::simple(triangle).into()), 416.025, 1e-6);
        let round: Region = disc::regular(Point::new(40.0, 2.0), 5.0, 256).into();
        near(round.area(), 78.532, 1e-5);
        near(least_modulus(&round), 98.155, 1e-5);
        near(least_modulus(&round), PI * 1000.0 / 32.0, 5e-4);
    }

    /// Handbook: annulus of 20 and 16 mm, π (D⁴ − d⁴) / (32 D) = 463.699 mm³.
    #[test]
    fn holes_are_taken_off() {
        let mut ring = disc::regular(Point::default(), 10.0, 720);
        let mut hole = disc::regular(Point::default(), 8.0, 720).outer;
        hole.reverse();
        ring.holes.push(hole);
        near(least_modulus(&ring.into()), 463.699, 1e-4);
    }

    /// Four feet of 4 × 4 mm at the corners of a square of 24 mm, by hand: I = 4 (4⁴/12 + 16 · 10²), S = I / (12 √2).
    #[test]
    fn several_patches_stand_together() {
        let feet: Vec<Region> =
            [(0.0, 0.0), (20.0, 0.0), (0.0, 20.0), (20.0, 20.0)].map(|(x, y)| square(x, y, 4.0)).to_vec();
        let inertia = 4.0 * (256.0 / 12.0 + 1600.0);
        near(least_modulus(&boolean::union(&feet)), inertia / (12.0 * 2.0_f64.sqrt()), 1e-9);
    }

    #[test]
    fn what_has_no_area_resists_nothing() {
        assert_eq!(least_modulus(&Region::EMPTY), 0.0);
        let line = [[0.0, 0.0], [10.0, 0.0], [20.0, 0.0]].map(Point::from).to_vec();
        assert_eq!(least_modulus(&Polygon { outer: line, holes: Vec::new() }.into()), 0.0);
        let bad = Polygon { outer: vec![Point::new(f64::NAN, 0.0); 4], holes: Vec::new() };
        assert_eq!(least_modulus(&bad.into()), 0.0);
    }

    proptest! {
        /// A turn, a move and a mirror image change nothing; twice the size is eight times the modulus.
        #[test]
        fn turns_and_sizes(r in star(), x in -200.0..200.0_f64, turn in 0.0..6.3_f64) {
            let s = least_modulus(&r);
            prop_assert!((least_modulus(&r.placed(Placement::new(x, -x, turn))) / s - 1.0).abs() < 1e-6);
            prop_assert!((least_modulus(&r.mirrored()) / s - 1.0).abs() < 1e-9);
            prop_assert!((least_modulus(&r.map(|p| p * 2.0)) / s - 8.0).abs() < 1e-6);
        }
        /// No direction of push stresses any vertex more.
        #[test]
        fn no_direction_is_worse(r in star(), angle in 0.0..6.3_f64) {
            let m = moments::moments(&r);
            let along = Point::new(1.0, 0.0).turned(angle);
            // Bending along d about the axis across it, with the axis load of an unsymmetric section: K w = d.
            let determinant = m.xx * m.yy - m.xy * m.xy;
            let w = Point::new(m.yy * along.x - m.xy * along.y, m.xx * along.y - m.xy * along.x) * (1.0 / determinant);
            let most = r.vertices().map(|v| (v - m.centroid).dot(w).abs()).fold(0.0, f64::max);
            prop_assert!(most <= 1.0 / least_modulus(&r) * (1.0 + 1e-9));
        }
    }
}
