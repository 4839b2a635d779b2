//! Axis-parallel boxes.

use super::Point;

/// An axis-parallel box, millimetres; empty while `min` exceeds `max`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// The box of nothing: grows to whatever is added.
    pub const EMPTY: Self =
        Self { min: Point::new(f64::INFINITY, f64::INFINITY), max: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY) };
    /// The box between two corners.
    pub const fn new(min: Point, max: Point) -> Self {
        Self { min, max }
    }
    /// Least box round the points.
    pub fn of(points: impl IntoIterator<Item = Point>) -> Self {
        let mut b = Self::EMPTY;
        for p in points {
            b.add(p);
        }
        b
    }
    /// Grows the box to hold `p`.
    pub fn add(&mut self, p: Point) {
        self.min = Point::new(self.min.x.min(p.x), self.min.y.min(p.y));
        self.max = Point::new(self.max.x.max(p.x), self.max.y.max(p.y));
    }
    /// Least box round both.
    #[must_use]
    pub fn union(mut self, other: Self) -> Self {
        if !other.is_empty() {
            self.add(other.min);
            self.add(other.max);
        }
        self
    }
    /// The box moved out by `by` on every side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        let d = Point::new(by, by);
        Self::new(self.min - d, self.max + d)
    }
    /// The box moved along.
    #[must_use]
    pub fn moved(self, by: Point) -> Self {
        Self::new(self.min + by, self.max + by)
    }
    /// True when it holds no point.
    pub fn is_empty(self) -> bool {
        self.min.x > self.max.x || self.min.y > self.max.y
    }
    /// Extent along x, 0 when empty.
    pub fn width(self) -> f64 {
        (self.max.x - self.min.x).max(0.0)
    }
    /// Extent along y, 0 when empty.
    pub fn height(self) -> f64 {
        (self.max.y - self.min.y).max(0.0)
    }
    /// The middle.
    pub fn centre(self) -> Point {
        self.min.lerp(self.max, 0.5)
    }
    /// True when the boxes share a point.
    pub fn overlaps(self, o: Self) -> bool {
        self.min.x <= o.max.x && o.min.x <= self.max.x && self.min.y <= o.max.y && o.min.y <= self.max.y
    }
    /// True when `p` lies inside or on the border.
    pub fn contains(self, p: Point) -> bool {
        p.x >= self.min.x && p.x <= self.max.x && p.y >= self.min.y && p.y <= self.max.y
    }
    /// Distance between the boxes, 0 where they overlap.
    pub fn distance(self, o: Self) -> f64 {
        let dx = (o.min.x - self.max.x).max(self.min.x - o.max.x).max(0.0);
        let dy = (o.min.y - self.max.y).max(self.min.y - o.max.y).max(0.0);
        dx.hypot(dy)
    }
    /// The four corners, counter-clockwise from the lower left.
    pub fn corners(self) -> [Point; 4] {
        [self.min, Point::new(self.max.x, self.min.y), self.max, Point::new(self.min.x, self.max.y)]
    }
}
