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
        let corner = |degrees: f64| (Point::new(1.0, 0.0), Point::new(-1.0, 0.0).turned(degrees.to_radians()));
        let v = |degrees: f64, a, deviation| {
            let (before, after) = corner(degrees);
            junction_mm_s(before, after, a, deviation)
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
            // So does the simulation's own way to it.
            let (before, after) = corner(degrees);
            near(corner_by_halving(before, after, 1000.0, 0.02), wanted, tolerance);
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
        let mut pieces = Vec::new();
        for w in corners.windows(2) {
            p.line(w[0], w[1], gait(60.0, 1000.0, 0.02));
            pieces.push(Piece::straight(w[0], w[1], 60.0, 1000.0));
        }
        let mut times = Vec::new();
        p.run(f64::INFINITY, |_, t| times.push(t));
        for (t, wanted) in times.iter().zip([0.386_787, 0.380_241, 0.380_241, 0.386_787]) {
            near(*t, wanted, 5e-7);
        }
        near(p.time_s(f64::INFINITY), 1.534_055, 1e-6);
        near(slow_simulation(&pieces, 0.02), 1.534_055, 5e-5);
    }

    /// A piece of a path as the simulation sees it.
    #[derive(Debug, Clone, Copy)]
    pub(crate) struct Piece {
        pub(crate) length_mm: f64,
        pub(crate) speed_mm_s: f64,
        pub(crate) acceleration_mm_s2: f64,
        /// Unit direction at its beginning.
        pub(crate) sets_out: Point,
        /// Unit direction at its end.
        pub(crate) arrives: Point,
    }

    impl Piece {
        fn straight(from: Point, to: Point, speed_mm_s: f64, acceleration_mm_s2: f64) -> Self {
            let along = (to - from).normalized();
            let length_mm = from.distance(to);
            Self { length_mm, speed_mm_s, acceleration_mm_s2, sets_out: along, arrives: along }
        }
    }

    /// Corner speed in mm/s without the formula: the circle that touches both legs grows until it strays from the corner by the
    /// deviation; on it v² / r is at most the acceleration.
    fn corner_by_halving(before: Point, after: Point, acceleration_mm_s2: f64, deviation_mm: f64) -> f64 {
        // Between the legs, which lie along −before and after; nowhere in particular where the path runs straight on.
        let middle = after - before;
        if middle.length() < 1e-9 {
            return f64::INFINITY;
        }
        // Radius, and how far the corner is from the circle, with the centre so far from the corner.
        let circle = |far_mm: f64| {
            let centre = middle.normalized() * far_mm;
            let radius_mm = centre.cross(after).abs();
            (radius_mm, centre.length() - radius_mm)
        };
        let (mut low, mut high) = (0.0_f64, 1e7_f64);
        if circle(high).1 < deviation_mm {
            return f64::INFINITY;
        }
        for _ in 0..80 {
            let far_mm = low.midpoint(high);
            if circle(far_mm).1 < deviation_mm {
                low = far_mm;
            } else {
                high = far_mm;
            }
        }
        (acceleration_mm_s2 * circle(low).0).sqrt()
    }

    /// Time of a path from rest to rest by small steps of time: the referee of the planner. It is given the path alone, knows
    /// neither the trapezoid nor the two passes, and finds the corner speeds in its own way.
    ///
    /// In each step the head takes the highest speed within its acceleration from which it can still brake for every limit ahead:
    /// each of them is looked at from each place (from v to w takes (v² − w²) / 2 a; textbook), and the speed is found by halving.
    pub(crate) fn slow_simulation(pieces: &[Piece], deviation_mm: f64) -> f64 {
        /// Steps in which a piece is gone through at full speed, or full speed is reached from rest.
        const STEPS: f64 = 100.0;
        // The greatest speed at the end of each piece.
        let limit = |(i, here): (usize, &Piece)| {
            let Some(next) = pieces.get(i + 1) else { return 0.0 };
            let a = here.acceleration_mm_s2.min(next.acceleration_mm_s2);
            let corner = corner_by_halving(here.arrives, next.sets_out, a, deviation_mm);
            corner.min(here.speed_mm_s).min(next.speed_mm_s)
        };
        let limits: Vec<f64> = pieces.iter().enumerate().map(limit).collect();
        let highest = |i: usize, at_mm: f64| {
            let here = &pieces[i];
            let mut square = here.speed_mm_s * here.speed_mm_s;
            let mut braked = 2.0 * here.acceleration_mm_s2 * (here.length_mm - at_mm);
            for (k, limit) in limits.iter().enumerate().skip(i) {
                square = square.min(limit * limit + braked);
                braked += pieces.get(k + 1).map_or(0.0, |next| 2.0 * next.acceleration_mm_s2 * next.length_mm);
            }
            square.sqrt()
        };
        let (mut time_s, mut speed) = (0.0_f64, 0.0_f64);
        for (i, p) in pieces.iter().enumerate() {
            let (v, a) = (p.speed_mm_s, p.acceleration_mm_s2);
            let step_s = (p.length_mm / v).min(v / a) / STEPS;
            let mut at_mm = 0.0_f64;
            loop {
                let may = |then: f64| then <= highest(i, (at_mm + speed.midpoint(then) * step_s).min(p.length_mm));
                let (mut low, mut high) = ((speed - a * step_s).max(0.0), speed + a * step_s);
                if may(high) {
                    low = high;
                } else {
                    for _ in 0..30 {
                        let then = low.midpoint(high);
                        if may(then) {
                            low = then;
                        } else {
                            high = then;
                        }
                    }
                }
                let (gone_mm, left_mm) = (speed.midpoint(low) * step_s, p.length_mm - at_mm);
                assert!(gone_mm > 0.0, "the head stands still {left_mm} mm before the end of a piece");
                if gone_mm >= left_mm {
                    // The piece ends within the step.
                    let part = left_mm / gone_mm;
                    time_s += part * step_s;
                    speed = (speed + (low - speed) * part).min(highest(i, p.length_mm));
                    break;
                }
                at_mm += gone_mm;
                speed = low;
                time_s += step_s;
            }
        }
        time_s
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        /// The planner agrees with the slow simulation within 0.1 %.
        #[test]
        fn agrees_with_slow_simulation(
            points in prop::collection::vec((0.0..40.0f64, 0.0..40.0f64, 10.0..150.0f64, 500.0..4000.0f64), 2..9),
            deviation in 0.005..0.1f64,
        ) {
            let mut p = Planner::default();
            let mut pieces = Vec::new();
            for w in points.windows(2) {
                // A place, and how it is gone to.
                let (from, (x, y, speed, a)) = (Point::new(w[0].0, w[0].1), w[1]);
                let to = Point::new(x, y);
                if p.line(from, to, gait(speed, a, deviation)) {
                    pieces.push(Piece::straight(from, to, speed, a));
                }
            }
            prop_assume!(!pieces.is_empty());
            let slow = slow_simulation(&pieces, deviation);
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
