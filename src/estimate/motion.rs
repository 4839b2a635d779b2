//! How long a head takes along a path: a trapezoid of speed per leg, a corner speed at every joint.
//!
//! Model: constant acceleration along each leg; at a joint the head follows, in thought, the circle that touches both legs
//! and stays within the junction deviation of the corner, so its speed there is √(a R). A backward and a forward pass make every
//! leg's end speeds reachable. Jerk is not modelled. Sources: textbook kinematics; the corner circle is a derivation of
//! plane geometry (R = δ s/(1 − s), s = sin(θ/2), θ the angle between the legs, 180° where the path runs straight on).

use crate::geom::Point;

/// A straight piece of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Its length.
    pub length_mm: f64,
    /// Speed it is meant to have.
    pub speed_mm_s: f64,
    /// Acceleration along it.
    pub acceleration_mm_s2: f64,
    /// Lays down a bead; only such legs are slowed for cooling.
    pub extrudes: bool,
}

/// How a leg is meant to be travelled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gait {
    /// Speed on straight ground.
    pub speed_mm_s: f64,
    /// Acceleration.
    pub acceleration_mm_s2: f64,
    /// Junction deviation at the joint before the leg.
    pub deviation_mm: f64,
    /// Lays down a bead; only such legs are slowed for cooling.
    pub extrudes: bool,
}

/// Time in s of one leg entered at `entry` and left at `exit` (mm/s), by a trapezoid (a triangle where it is too short).
///
/// Holds where |exit² − entry²| ≤ 2 a L and neither exceeds the leg's speed; [`Planner`] sees to that.
pub fn trapezoid_s(leg: Leg, entry: f64, exit: f64) -> f64 {
    let Leg { length_mm: l, speed_mm_s: v, acceleration_mm_s2: a, .. } = leg;
    if l <= 0.0 {
        return 0.0;
    }
    let peak = v.min(((2.0 * a * l + entry * entry + exit * exit) / 2.0).sqrt()).max(entry).max(exit);
    let ramps = (2.0 * peak * peak - entry * entry - exit * exit) / (2.0 * a);
    (2.0 * peak - entry - exit) / a + (l - ramps).max(0.0) / peak
}

/// Time in s of a straight move from rest to rest.
pub fn rest_to_rest_s(length_mm: f64, speed_mm_s: f64, acceleration_mm_s2: f64) -> f64 {
    trapezoid_s(Leg { length_mm, speed_mm_s, acceleration_mm_s2, extrudes: true }, 0.0, 0.0)
}

/// Corner speed in mm/s between unit directions `before` and `after`: infinite where the path runs straight on, 0 where it turns back.
pub fn junction_mm_s(before: Point, after: Point, acceleration_mm_s2: f64, deviation_mm: f64) -> f64 {
    corner_mm2_s2(before.dot(after), acceleration_mm_s2 * deviation_mm).sqrt()
}

/// Square of the corner speed, from the scalar product of the unit directions before and after it, and acceleration ×
/// junction deviation (mm²/s²).
pub fn corner_mm2_s2(along: f64, push_mm2_s2: f64) -> f64 {
    // θ lies between −before and after: cos θ = −before·after, sin(θ/2) = √((1 − cos θ)/2).
    let s = 1.0f64.midpoint(along).clamp(0.0, 1.0).sqrt();
    if 1.0 - s < 1e-12 { f64::INFINITY } else { push_mm2_s2 * s / (1.0 - s) }
}

/// Collects the legs of one path and times them. Its buffers are used again and again.
#[derive(Debug, Clone, Default)]
pub struct Planner {
    legs: Vec<Leg>,
    /// Greatest speed at each joint; one fewer than legs.
    joints: Vec<f64>,
    /// Squared speed at each node while planning; one more than legs.
    squares: Vec<f64>,
    direction: Point,
}

impl Planner {
    /// Forgets the path.
    pub fn clear(&mut self) {
        self.legs.clear();
        self.joints.clear();
    }
    /// Adds the straight leg from `from` to `to` (ignored when shorter than 1e-9 mm). Returns whether it was added.
    pub fn line(&mut self, from: Point, to: Point, gait: Gait) -> bool {
        let length_mm = from.distance(to);
        if length_mm < 1e-9 {
            return false;
        }
        let direction = (to - from) * (1.0 / length_mm);
        if let Some(last) = self.legs.last() {
            let a = last.acceleration_mm_s2.min(gait.acceleration_mm_s2);
            self.joints.push(junction_mm_s(self.direction, direction, a, gait.deviation_mm));
        }
        self.direction = direction;
        let Gait { speed_mm_s, acceleration_mm_s2, extrudes, .. } = gait;
        self.legs.push(Leg { length_mm, speed_mm_s, acceleration_mm_s2, extrudes });
        true
    }
    /// The legs so far.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }
    /// Plans the path from rest to rest, no extruding leg faster than `ceiling_mm_s`, and hands each leg's time to `each` (index, s).
    pub fn run(&mut self, ceiling_mm_s: f64, mut each: impl FnMut(usize, f64)) {
        let n = self.legs.len();
        if n == 0 {
            return;
        }
        let speed = |leg: &Leg| if leg.extrudes { leg.speed_mm_s.min(ceiling_mm_s) } else { leg.speed_mm_s };
        let v2 = &mut self.squares;
        v2.clear();
        v2.push(0.0);
        for (i, &joint) in self.joints.iter().enumerate() {
            let v = joint.min(speed(&self.legs[i])).min(speed(&self.legs[i + 1]));
            v2.push(v * v);
        }
        v2.push(0.0);
        for i in (0..n).rev() {
            let reach = v2[i + 1] + 2.0 * self.legs[i].acceleration_mm_s2 * self.legs[i].length_mm;
            v2[i] = v2[i].min(reach);
        }
        for i in 0..n {
            let reach = v2[i] + 2.0 * self.legs[i].acceleration_mm_s2 * self.legs[i].length_mm;
            v2[i + 1] = v2[i + 1].min(reach);
        }
        for (i, leg) in self.legs.iter().enumerate() {
            let leg = Leg { speed_mm_s: speed(leg), ..*leg };
            each(i, trapezoid_s(leg, v2[i].sqrt(), v2[i + 1].sqrt()));
        }
    }
    /// Time of the whole path from rest to rest, s.
    pub fn time_s(&mut self, ceiling_mm_s: f64) -> f64 {
        let mut sum = 0.0;
        self.run(ceiling_mm_s, |_, t| sum += t);
        sum
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use proptest::prelude::*;

    fn gait(speed_mm_s: f64, acceleration_mm_s2: f64, deviation_mm: f64) -> Gait {
        Gait { speed_mm_s, acceleration_mm_s2, deviation_mm, extrudes: true }
    }

    fn near(value: f64, wanted: f64, tolerance: f64) {
        assert!((value - wanted).abs() <= tolerance, "{value} is not {wanted} ± {tolerance}");
    }

    /// Worked cases computed by script from the textbook formula.
    #[test]
    fn trapezoids() {
        let t = |length_mm, speed_mm_s, acceleration_mm_s2, entry, exit| {
            trapezoid_s(Leg { length_mm, speed_mm_s, acceleration_mm_s2, extrudes: true }, entry, exit)
        };
        near(t(100.0, 100.0, 1000.0, 0.0, 0.0), 1.1, 1e-12);
        near(t(4.0, 100.0, 1000.0, 0.0, 0.0), 0.126_491, 5e-7);
        near(t(10.0, 100.0, 1000.0, 0.0, 0.0), 0.2, 1e-12);
        near(t(10.0, 100.0, 2000.0, 20.0, 10.0), 0.136_25, 1e-12);
        near(t(1.0, 60.0, 3000.0, 0.0, 0.0), 0.036_514_8, 5e-8);
        assert_eq!(t(0.0, 60.0, 3000.0, 0.0, 0.0), 0.0);
    }

    /// Worked cases computed by script from the corner circle; the angle is the one between the legs.
    #[test]
    fn junctions() {
        let v = |degrees: f64, a, deviation| {
            let after = Point::new(-1.0, 0.0).turned(degrees.to_radians());
            junction_mm_s(Point::new(1.0, 0.0), after, a, deviation)
        };
        for (degrees, wanted, tolerance) in [
            (45.0, 3.5211, 5e-5),
            (60.0, 4.4721, 5e-5),
            (90.0, 6.9487, 5e-5),
            (120.0, 11.3702, 5e-5),
            (135.0, 15.5802, 5e-5),
            (170.0, 72.359, 5e-4),
        ] {
            near(v(degrees, 1000.0, 0.02), wanted, tolerance);
        }
        near(v(0.0, 1000.0, 0.02), 0.0, 1e-6);
        assert_eq!(v(180.0, 1000.0, 0.02), f64::INFINITY);
        near(v(90.0, 3000.0, 0.05), 19.0298, 5e-5);
    }

    /// A plain allowed speed v at right angles is the deviation (√2 − 1) v²/a (derived).
    #[test]
    fn right_angle_deviation() {
        let (a, v_c) = (1700.0, 8.0);
        let deviation = (2f64.sqrt() - 1.0) * v_c * v_c / a;
        near(junction_mm_s(Point::new(1.0, 0.0), Point::new(0.0, 1.0), a, deviation), v_c, 1e-9);
    }

    /// Square loop of 20 mm at 60 mm/s, 1000 mm/s², 0.02 mm (computed by script).
    #[test]
    fn square_loop() {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0), (0.0, 0.0)].map(|(x, y)| Point::new(x, y));
        let mut p = Planner::default();
        for w in corners.windows(2) {
            p.line(w[0], w[1], gait(60.0, 1000.0, 0.02));
        }
        let mut times = Vec::new();
        p.run(f64::INFINITY, |_, t| times.push(t));
        for (t, wanted) in times.iter().zip([0.386_787, 0.380_241, 0.380_241, 0.386_787]) {
            near(*t, wanted, 5e-7);
        }
        near(p.time_s(f64::INFINITY), 1.534_055, 1e-6);
    }

    /// Time of a path by small steps of time, without the trapezoid formula: the referee of the planner.
    ///
    /// The fastest speed profile under the limits is the least of three: the cap at that place, what can be reached by
    /// speeding up from behind, and what still can be braked off ahead. It is found here on a fine grid of places.
    pub(crate) fn slow_simulation(legs: &[Leg], joints: &[f64], step_mm: f64) -> f64 {
        let mut cells: Vec<(f64, f64, f64)> = Vec::new(); // length, cap, acceleration
        let mut node_caps: Vec<f64> = vec![0.0];
        for (i, leg) in legs.iter().enumerate() {
            let n = (leg.length_mm / step_mm).ceil().max(4.0) as usize;
            for k in 0..n {
                cells.push((leg.length_mm / n as f64, leg.speed_mm_s, leg.acceleration_mm_s2));
                let last = k + 1 == n;
                let joint = if last && i + 1 < legs.len() { joints[i] } else { f64::INFINITY };
                node_caps.push(if last && i + 1 == legs.len() { 0.0 } else { joint.min(leg.speed_mm_s) });
            }
        }
        // A node between two legs is also bound by the next leg's speed.
        for (i, c) in cells.iter().enumerate() {
            node_caps[i] = node_caps[i].min(c.1);
        }
        let mut behind = node_caps.clone();
        for i in 0..cells.len() {
            // dv/dt = a by small steps of time within the cell.
            let (l, cap, a) = cells[i];
            let (mut x, mut v) = (0.0, behind[i]);
            let dt = (l / cap / 40.0).min((2.0 * l / a).sqrt() / 40.0);
            while x < l {
                x += v * dt + a * dt * dt / 2.0;
                v += a * dt;
            }
            v -= a * dt * ((x - l) / (v * dt)).min(1.0); // the last step went beyond the end
            behind[i + 1] = behind[i + 1].min(v);
        }
        let mut ahead = node_caps;
        for i in (0..cells.len()).rev() {
            let (l, cap, a) = cells[i];
            let (mut x, mut v) = (0.0, ahead[i + 1]);
            let dt = (l / cap / 40.0).min((2.0 * l / a).sqrt() / 40.0);
            while x < l {
                x += v * dt + a * dt * dt / 2.0;
                v += a * dt;
            }
            v -= a * dt * ((x - l) / (v * dt)).min(1.0); // the last step went beyond the end
            ahead[i] = ahead[i].min(v);
        }
        let v: Vec<f64> = behind.iter().zip(&ahead).map(|(a, b)| a.min(*b)).collect();
        cells.iter().enumerate().map(|(i, &(l, _, _))| 2.0 * l / (v[i] + v[i + 1]).max(1e-12)).sum()
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        /// The planner agrees with the slow simulation within 0.1 %.
        #[test]
        fn agrees_with_slow_simulation(
            points in prop::collection::vec((0.0..40.0f64, 0.0..40.0f64), 2..9),
            speed in 10.0..150.0f64, a in 500.0..4000.0f64, deviation in 0.005..0.1f64,
        ) {
            let mut p = Planner::default();
            for w in points.windows(2) {
                p.line(Point::new(w[0].0, w[0].1), Point::new(w[1].0, w[1].1), gait(speed, a, deviation));
            }
            prop_assume!(!p.legs().is_empty());
            let joints = p.joints.clone();
            let slow = slow_simulation(&p.legs, &joints, 0.004);
            let fast = p.time_s(f64::INFINITY);
            prop_assert!((fast - slow).abs() <= 1e-3 * slow, "planner {fast}, simulation {slow}");
        }
        /// A lower ceiling never makes a path quicker.
        #[test]
        fn slower_takes_longer(length in 0.1..80.0f64, v in 20.0..200.0f64, share in 0.05..1.0f64) {
            let mut p = Planner::default();
            p.line(Point::default(), Point::new(length, 0.0), gait(v, 1500.0, 0.02));
            p.line(Point::new(length, 0.0), Point::new(length, length), gait(v, 1500.0, 0.02));
            prop_assert!(p.time_s(v * share) >= p.time_s(f64::INFINITY) - 1e-12);
        }
    }
}
