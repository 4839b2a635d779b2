//! Rigid moves of the plane.

use serde::{Deserialize, Serialize};

use super::Point;

/// A turn about the origin, then a move: where a shape lies.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Placement {
    /// Where the origin lands, x in mm.
    pub x: f64,
    /// Where the origin lands, y in mm.
    pub y: f64,
    /// Counter-clockwise turn, radians.
    pub turn_rad: f64,
}

impl Placement {
    /// A move without a turn.
    pub const fn at(x: f64, y: f64) -> Self {
        Self { x, y, turn_rad: 0.0 }
    }
    /// A turn, then a move.
    pub const fn new(x: f64, y: f64, turn_rad: f64) -> Self {
        Self { x, y, turn_rad }
    }
    /// Where the origin lands.
    pub fn origin(self) -> Point {
        Point::new(self.x, self.y)
    }
    /// Cosine and sine of the turn; exact at quarter turns, so that a square stays a square.
    pub fn cos_sin(self) -> (f64, f64) {
        let quarter = self.turn_rad / std::f64::consts::FRAC_PI_2;
        let nearest = quarter.round();
        if (quarter - nearest).abs() < 1e-12 {
            return match (nearest as i64).rem_euclid(4) {
                0 => (1.0, 0.0),
                1 => (0.0, 1.0),
                2 => (-1.0, 0.0),
                _ => (0.0, -1.0),
            };
        }
        let (s, c) = self.turn_rad.sin_cos();
        (c, s)
    }
    /// The point after the move.
    pub fn apply(self, p: Point) -> Point {
        let (c, s) = self.cos_sin();
        Point::new(p.x * c - p.y * s + self.x, p.x * s + p.y * c + self.y)
    }
    /// The point before the move.
    pub fn unapply(self, p: Point) -> Point {
        let (c, s) = self.cos_sin();
        let (dx, dy) = (p.x - self.x, p.y - self.y);
        Point::new(dx * c + dy * s, dy * c - dx * s)
    }
    /// First `self`, then `next`.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        let o = next.apply(self.origin());
        Self::new(o.x, o.y, self.turn_rad + next.turn_rad)
    }
    /// The move that undoes this one.
    #[must_use]
    pub fn inverse(self) -> Self {
        let o = self.unapply(Point::default());
        Self::new(o.x, o.y, -self.turn_rad)
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, TAU};

    use proptest::prelude::*;

    use super::*;

    #[test]
    fn quarter_turns_are_exact() {
        let p = Point::new(3.0, 0.1);
        for (k, asked) in [(0, (3.0, 0.1)), (1, (-0.1, 3.0)), (2, (-3.0, -0.1)), (3, (0.1, -3.0))] {
            for turn in [f64::from(k) * FRAC_PI_2, f64::from(k) * FRAC_PI_2 - TAU, (f64::from(k) * 90.0).to_radians()] {
                let q = Placement::new(10.0, 20.0, turn).apply(p);
                assert_eq!((q.x, q.y), (asked.0 + 10.0, asked.1 + 20.0), "{turn}");
            }
        }
    }

    proptest! {
        #[test]
        fn back_is_back(x in -300.0..300.0_f64, y in -300.0..300.0_f64, turn in -7.0..7.0_f64,
                        px in -50.0..50.0_f64, py in -50.0..50.0_f64) {
            let (at, p) = (Placement::new(x, y, turn), Point::new(px, py));
            prop_assert!(at.unapply(at.apply(p)).distance(p) < 1e-11);
            prop_assert!(at.inverse().apply(at.apply(p)).distance(p) < 1e-11);
            prop_assert!(at.then(at.inverse()).apply(p).distance(p) < 1e-11);
            let next = Placement::new(py, px, 1.0);
            prop_assert!(at.then(next).apply(p).distance(next.apply(at.apply(p))) < 1e-11);
        }
    }
}
