//! Regions grown and shrunk by a distance.

use i_overlay::mesh::float::{
    outline::offset::OutlineOffset,
    style::{LineJoin, OutlineStyle},
};

use super::{
    Region,
    boolean::{from_shapes, to_shapes},
};

/// Chord angle at which chords laid outside an arc of radius `radius_mm` exceed it by no more than `tolerance_mm` (their
/// ends lie at r ÷ cos(angle ÷ 2)); chords inside it then keep within the tolerance too. Never under 1.8°: 1.3e-4 of r.
fn chord_angle(radius_mm: f64, tolerance_mm: f64) -> f64 {
    let ratio = (radius_mm / (radius_mm + tolerance_mm.max(0.0)).max(1e-9)).clamp(-1.0, 1.0);
    (2.0 * ratio.acos()).clamp(std::f64::consts::PI * 0.01, std::f64::consts::FRAC_PI_4)
}

/// The region grown by `distance_mm` with round corners (Minkowski sum with a disc).
///
/// The result holds the exact one and exceeds it by at most `tolerance_mm` (or 1.3e-4 of
/// the distance, where that is more): chords are laid outside the arc.
pub fn grow(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    if distance_mm <= 0.0 || region.is_empty() {
        return region.clone();
    }
    let angle = chord_angle(distance_mm, tolerance_mm);
    // i_overlay's chords run between points of the arc; pushed out by 1/cos(angle/2) they touch it from outside.
    run(region, distance_mm / (angle / 2.0).cos(), angle)
}

/// The region shrunk by `distance_mm` (Minkowski erosion by a disc). Straight edges are exact; at inward corners the
/// arc is cut by chords within `tolerance_mm`, towards the larger region.
pub fn shrink(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    if distance_mm <= 0.0 || region.is_empty() {
        return region.clone();
    }
    run(region, -distance_mm, chord_angle(distance_mm, tolerance_mm))
}

/// As [`shrink`], but what is left lies within the exact result, everywhere short of it by at most about
/// `tolerance_mm`: for room that must not grow.
pub fn shrink_within(region: &Region, distance_mm: f64, tolerance_mm: f64) -> Region {
    if distance_mm <= 0.0 || region.is_empty() {
        return region.clone();
    }
    let angle = chord_angle(distance_mm, tolerance_mm);
    run(region, -distance_mm / (angle / 2.0).cos(), angle)
}

/// The region shrunk by `distance_mm` with its corners kept sharp, inward ones too (mitred down to 30° between the edges,
/// cut off below that): what a bead laid along the border leaves. Exact for polygons, but for turns under 0.2°, where up
/// to 2e-6 of the distance is cut off, and rounding to a 32-bit grid (1e-7 mm on 100 mm), several times quicker than [`shrink`]'s.
pub fn inset(region: &Region, distance_mm: f64) -> Region {
    mitred(region, -distance_mm)
}

/// The region grown by `distance_mm` with its corners kept sharp, as [`inset`] does.
pub fn outset(region: &Region, distance_mm: f64) -> Region {
    mitred(region, distance_mm)
}

fn mitred(region: &Region, offset: f64) -> Region {
    if offset == 0.0 || region.is_empty() {
        return region.clone();
    }
    // Bevels double the vertices at every turn they cut, so that repeated insets of a bore would drown in them.
    let style = OutlineStyle::new(offset).line_join(LineJoin::Miter(std::f64::consts::FRAC_PI_6)).miter_min_turn(0.003);
    from_shapes(to_shapes(region).outline_as::<i32>(&style))
}

fn run(region: &Region, offset: f64, angle: f64) -> Region {
    let style = OutlineStyle::new(offset).line_join(LineJoin::Round(angle));
    from_shapes(to_shapes(region).outline_as::<i64>(&style))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use proptest::prelude::*;

    use super::*;
    use crate::geom::{
        Point, boolean,
        samples::{border_distance, border_points, bracket, frame, square, star},
    };

    /// Computed with shapely: inset 2 mm (sharp) 276.0; outset 5 mm (round) 1173.165 by 500 + 120·5 + 5 corners of
    /// π 25/4 − 25 at the inward one = 1173.17.
    #[test]
    fn the_bracket_grows_and_shrinks_as_computed_elsewhere() {
        assert!((shrink(&bracket(), 2.0, 0.01).area() - 276.0).abs() < 1e-6 + PI * 4.0);
        let grown = grow(&bracket(), 5.0, 0.001).area();
        let asked = 500.0 + 120.0 * 5.0 + 5.0 * PI * 25.0 / 4.0 - 25.0;
        assert!(grown >= asked && grown < asked + 0.001 * 160.0, "{grown} for {asked}");
    }

    /// Erosion by a disc keeps corners sharp but rounds the inward one: 276 less nothing, plus the corner's share.
    #[test]
    fn shrinking_rounds_only_the_inward_corner() {
        let exact = 276.0 + 4.0 - PI;
        let (loose, tight) = (shrink(&bracket(), 2.0, 1e-3).area(), shrink_within(&bracket(), 2.0, 1e-3).area());
        assert!((loose - exact).abs() < 0.01, "{loose} for {exact}");
        assert!(tight <= exact + 1e-6 && tight > exact - 0.001 * 120.0, "{tight} for {exact}");
    }

    #[test]
    fn a_hole_closes_when_it_is_grown_over() {
        let r = grow(&frame(20.0, 6.0), 2.0, 0.01);
        assert_eq!(r.polygons[0].holes.len(), 1);
        assert!((crate::geom::region::loop_area(&r.polygons[0].holes[0]) + 4.0).abs() < 0.1);
        assert!(grow(&frame(20.0, 6.0), 3.1, 0.01).polygons[0].holes.is_empty());
    }

    #[test]
    fn shrinking_to_nothing_and_by_nothing() {
        assert_eq!(shrink(&square(0.0, 0.0, 4.0), 2.5, 0.01).area(), 0.0);
        assert_eq!(shrink(&bracket(), 0.0, 0.01), bracket());
        assert_eq!(grow(&bracket(), 0.0, 0.01), bracket());
        assert_eq!(grow(&Region::EMPTY, 3.0, 0.01), Region::EMPTY);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Every point within the distance of the region lies in the grown region, and no border of that is farther
        /// from the region than distance plus tolerance.
        #[test]
        fn growing_never_falls_short(r in star(), d in 0.1..8.0_f64, tolerance in 0.002..0.2_f64) {
            let grown = grow(&r, d, tolerance);
            for p in border_points(&r, 0.7) {
                for k in 0..16 {
                    let q = p + Point::new(d, 0.0).turned(TAU * f64::from(k) / 16.0);
                    prop_assert!(grown.contains(q) || border_distance(&grown, q) < 1e-6, "{q:?} is missing");
                }
            }
            for v in grown.vertices() {
                let far = border_distance(&r, v);
                // A chord touches the arc, so its ends lie beyond it by as much as its middle would lie short of it.
                prop_assert!(far <= d + 2.0 * tolerance + 2e-4 * d, "{far} for {d}");
            }
        }

        /// No point of what is left lies nearer to the old border than the distance.
        #[test]
        fn shrinking_within_keeps_its_distance(r in star(), d in 0.1..3.0_f64) {
            let left = shrink_within(&r, d, 0.01);
            for p in border_points(&left, 0.3) {
                prop_assert!(border_distance(&r, p) >= d - 1e-6);
            }
            prop_assert!(boolean::difference(&left, &r).area() < 1e-6);
        }
    }
}
