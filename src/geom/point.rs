//! A point or a vector of the plane.

use std::ops::{Add, AddAssign, Mul, Neg, Sub};

use i_overlay::i_float::float::compatible::FloatPointCompatible;
use serde::{Deserialize, Serialize};

/// A point or vector, millimetres. Written in JSON as `[x, y]`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
pub struct Point {
    /// To the right on the sheet.
    pub x: f64,
    /// Away from the person (up on the sheet).
    pub y: f64,
}

impl Point {
    /// The point (x, y).
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }
    /// Signed area of the parallelogram: positive when `other` lies counter-clockwise of `self`.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }
    /// Euclidean length.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }
    /// Squared length.
    pub fn length_squared(self) -> f64 {
        self.dot(self)
    }
    /// Distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (self - other).length()
    }
    /// The vector turned a quarter counter-clockwise.
    #[must_use]
    pub fn perpendicular(self) -> Self {
        Self::new(-self.y, self.x)
    }
    /// The vector turned by an angle in radians, counter-clockwise.
    #[must_use]
    pub fn turned(self, angle_rad: f64) -> Self {
        let (s, c) = angle_rad.sin_cos();
        Self::new(self.x * c - self.y * s, self.x * s + self.y * c)
    }
    /// Unit vector of the same direction; zero stays zero.
    #[must_use]
    pub fn normalized(self) -> Self {
        let l = self.length();
        if l > 0.0 { self * (1.0 / l) } else { self }
    }
    /// The point at share `t` of the way to `other`.
    #[must_use]
    pub fn lerp(self, other: Self, t: f64) -> Self {
        self + (other - self) * t
    }
    /// True when both coordinates are finite.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl Add for Point {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}
impl AddAssign for Point {
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl Sub for Point {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}
impl Neg for Point {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}
impl Mul<f64> for Point {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}
impl From<[f64; 2]> for Point {
    fn from([x, y]: [f64; 2]) -> Self {
        Self { x, y }
    }
}
impl From<Point> for [f64; 2] {
    fn from(p: Point) -> Self {
        [p.x, p.y]
    }
}
impl FloatPointCompatible for Point {
    type Scalar = f64;
    fn from_xy(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    fn x(&self) -> f64 {
        self.x
    }
    fn y(&self) -> f64 {
        self.y
    }
}
