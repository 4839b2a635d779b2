//! Arcs and helices as single strides.
//!
//! Source of the words' meaning: T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, Version 3, 2000,
//! section 3.5.3 (from memory): the centre as offsets from where the arc begins, or a radius, negative for the way round that is
//! longer than half a turn; a full circle where centre and end alone are given and the end is the beginning; a helix where the
//! third axis moves as well.

use std::f64::consts::TAU;

use super::clock::Stride;

/// A plane of the axes: its first and second axis and the one across, seen from whose positive end G2 goes clockwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Plane {
    pub(super) first: usize,
    pub(super) second: usize,
    pub(super) across: usize,
}

impl Plane {
    pub(super) const XY: Self = Self { first: 0, second: 1, across: 2 };
    pub(super) const ZX: Self = Self { first: 2, second: 0, across: 1 };
    pub(super) const YZ: Self = Self { first: 1, second: 2, across: 0 };
}

/// What says where an arc's centre is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Centre {
    /// Offsets from the beginning along the plane's axes, mm.
    Offset(f64, f64),
    /// The radius, mm.
    Radius(f64),
}

/// Distances from the centre may differ by this much between the ends, mm: files round to a few decimals.
const SLIP_MM: f64 = 0.05;

/// The arc between two places; `None` where there is none. It is one stride that turns along its way, so the speed on it is also
/// bound by the acceleration across it, v² / r.
pub(super) fn stride(plane: Plane, from: [f64; 3], to: [f64; 3], centre: Centre, clockwise: bool) -> Option<Stride> {
    let at = |p: [f64; 3]| (p[plane.first], p[plane.second]);
    let ((x0, y0), (x1, y1)) = (at(from), at(to));
    let (dx, dy) = (x1 - x0, y1 - y0);
    let chord = dx.hypot(dy);
    let (cx, cy) = match centre {
        Centre::Offset(i, j) => (x0 + i, y0 + j),
        Centre::Radius(r) => {
            let above = r * r - chord * chord / 4.0;
            if chord < 1e-9 || r.abs() + SLIP_MM < chord / 2.0 {
                return None;
            }
            // To the right of the way for the shorter arc clockwise.
            let side = above.max(0.0).sqrt() / chord * if clockwise == (r > 0.0) { 1.0 } else { -1.0 };
            (x0.midpoint(x1) + dy * side, y0.midpoint(y1) - dx * side)
        }
    };
    let (ax, ay, bx, by) = (x0 - cx, y0 - cy, x1 - cx, y1 - cy);
    let (r0, r1) = (ax.hypot(ay), bx.hypot(by));
    let radius = r0.midpoint(r1);
    if r0 < 1e-6 || r1 < 1e-6 || (r0 - r1).abs() > SLIP_MM.max(0.01 * radius) {
        return None;
    }
    let turn = if clockwise { -1.0 } else { 1.0 };
    let sweep = if chord < 1e-9 {
        TAU
    } else {
        // From one radius to the other, the way round that the word says.
        ((ax * by - ay * bx) * turn).atan2(ax * bx + ay * by).rem_euclid(TAU)
    };
    let flat = radius * sweep;
    let rise = to[plane.across] - from[plane.across];
    let length = flat.hypot(rise);
    if length < 1e-9 {
        return None;
    }
    let direction = |x: f64, y: f64, r: f64| {
        let mut d = [0.0; 3];
        d[plane.first] = -y / r * turn * flat / length;
        d[plane.second] = x / r * turn * flat / length;
        d[plane.across] = rise / length;
        d
    };
    Some(Stride {
        length_mm: length,
        sets_out: direction(ax, ay, r0),
        arrives: direction(bx, by, r1),
        // (v flat / length)² / r stays within the acceleration.
        bend_mm: radius * (length / flat) * (length / flat),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn near(value: f64, wanted: f64) {
        assert!((value - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{value} is not {wanted}");
    }

    fn flat(to: [f64; 2], centre: Centre, clockwise: bool) -> Option<Stride> {
        stride(Plane::XY, [0.0; 3], [to[0], to[1], 0.0], centre, clockwise)
    }

    /// Quarter circles about (10, 0) from the origin, by hand: clockwise it sets out along +Y.
    #[test]
    fn quarters_and_three_quarters() {
        let s = flat([10.0, 10.0], Centre::Offset(10.0, 0.0), true).expect("an arc");
        near(s.length_mm, 5.0 * PI);
        near(s.sets_out[1], 1.0);
        near(s.arrives[0], 1.0);
        near(s.bend_mm, 10.0);
        let s = flat([10.0, 10.0], Centre::Offset(10.0, 0.0), false).expect("an arc");
        near(s.length_mm, 15.0 * PI);
        near(s.sets_out[1], -1.0);
        near(s.arrives[0], -1.0);
    }

    /// A radius chooses the shorter way, a negative one the longer.
    #[test]
    fn radii() {
        for clockwise in [true, false] {
            near(flat([10.0, 10.0], Centre::Radius(10.0), clockwise).expect("an arc").length_mm, 5.0 * PI);
            near(flat([10.0, 10.0], Centre::Radius(-10.0), clockwise).expect("an arc").length_mm, 15.0 * PI);
            // Half a circle, with a radius that was rounded down.
            near(flat([20.0, 0.0], Centre::Radius(9.999_9), clockwise).expect("an arc").length_mm, 10.0 * PI);
        }
        near(flat([10.0, 10.0], Centre::Radius(10.0), true).expect("an arc").sets_out[1], 1.0);
        near(flat([10.0, 10.0], Centre::Radius(10.0), false).expect("an arc").sets_out[0], 1.0);
        assert_eq!(flat([30.0, 0.0], Centre::Radius(10.0), true), None);
        assert_eq!(flat([0.0, 0.0], Centre::Radius(10.0), true), None);
    }

    #[test]
    fn full_circles_helices_and_other_planes() {
        near(flat([0.0, 0.0], Centre::Offset(3.0, 4.0), true).expect("an arc").length_mm, 10.0 * PI);
        // One turn of radius 5 that rises by 3: √((10 π)² + 3²).
        let s = stride(Plane::XY, [0.0; 3], [0.0, 0.0, 3.0], Centre::Offset(5.0, 0.0), false).expect("a helix");
        near(s.length_mm, (100.0 * PI * PI + 9.0).sqrt());
        near(s.sets_out[2], 3.0 / s.length_mm);
        // Radius of curvature of a helix: r + (rise / 2 π)² / r (textbook).
        near(s.bend_mm, 5.0 + (3.0 / TAU).powi(2) / 5.0);
        // Seen from the positive end of Y, X is up where Z points right: clockwise from the origin about (z 10, x 0) is up X.
        let s = stride(Plane::ZX, [0.0; 3], [10.0, 0.0, 10.0], Centre::Offset(10.0, 0.0), true).expect("an arc");
        near(s.length_mm, 5.0 * PI);
        near(s.sets_out[0], 1.0);
    }

    #[test]
    fn no_arc() {
        assert_eq!(flat([10.0, 0.0], Centre::Offset(0.0, 0.0), true), None);
        assert_eq!(flat([10.0, 0.0], Centre::Offset(2.0, 0.0), true), None);
    }
}
