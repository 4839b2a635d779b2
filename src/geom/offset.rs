//! Regions grown and shrunk by a distance.

use i_overlay::mesh::float::{
    outline::offset::OutlineOffset,
    style::{LineJoin, OutlineStyle},
};

use super::{
    Region,
    boolean::{from_shapes, to_shapes},
};

/// Chord angle that keeps an arc of radius `radius_mm` within `tolerance_mm`.
fn chord_angle(radius_mm: f64, tolerance_mm: f64) -> f64 {
    let ratio = (1.0 - tolerance_mm / radius_mm.max(1e-9)).clamp(-1.0, 1.0);
    (2.0 * ratio.acos()).clamp(std::f64::consts::PI * 0.01, std::f64::consts::FRAC_PI_4)
}

/// The region grown by `distance_mm` with round corners (Minkowski sum with a disc).
///
/// The result holds the exact one and exceeds it by at most about `tolerance_mm`: chords are laid outside the arc.
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

fn run(region: &Region, offset: f64, angle: f64) -> Region {
    let style = OutlineStyle::new(offset).line_join(LineJoin::Round(angle));
    from_shapes(to_shapes(region).outline_as::<i64>(&style))
}
