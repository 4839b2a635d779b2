//! Bodies of revolution about Z.

use std::f64::consts::TAU;

use super::body::Body;

/// Turns a closed profile of (radius, height) points, counter-clockwise in that plane, about Z in `steps` chords.
/// `swell` gives the radius at an angle (radians) from the profile's own.
pub(crate) fn revolve(profile: &[[f64; 2]], steps: usize, swell: impl Fn(f64, f64) -> f64) -> Body {
    let mut body = Body::default();
    let at = |[r, z]: [f64; 2], step: usize| {
        let a = TAU * (step % steps) as f64 / steps as f64;
        let r = swell(r, a);
        [r * a.cos(), r * a.sin(), z]
    };
    for (i, &p) in profile.iter().enumerate() {
        let q = profile[(i + 1) % profile.len()];
        if p[0] == 0.0 && q[0] == 0.0 {
            continue;
        }
        for s in 0..steps {
            body.quad(at(p, s), at(p, s + 1), at(q, s + 1), at(q, s));
        }
    }
    body
}

/// The profile's own radius at every angle.
pub(crate) fn round(radius: f64, _angle: f64) -> f64 {
    radius
}
