//! Polygons with holes.

use serde::{Deserialize, Serialize};

use super::{Bounds, Placement, Point};

/// One polygon: an outer loop, counter-clockwise, and holes, clockwise. Loops are not closed by a repeated point.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Polygon {
    /// Outer loop.
    pub outer: Vec<Point>,
    /// Holes.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<Point>>,
}

/// Any number of polygons with holes whose interiors do not overlap. May be empty.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Region {
    /// The polygons.
    pub polygons: Vec<Polygon>,
}

/// Signed area of a loop: positive when counter-clockwise. Source: Green's theorem.
pub(crate) fn loop_area(points: &[Point]) -> f64 {
    // Relative to the first point, so that far-away loops lose no digits.
    let Some(&o) = points.first() else { return 0.0 };
    0.5 * (1..points.len().saturating_sub(1)).map(|i| (points[i] - o).cross(points[i + 1] - o)).sum::<f64>()
}

/// Edges of a loop as point pairs, the closing one included.
pub(crate) fn loop_edges(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..points.len()).map(|i| (points[i], points[(i + 1) % points.len()]))
}

impl Polygon {
    /// A polygon without holes; the loop is put counter-clockwise.
    pub fn simple(mut outer: Vec<Point>) -> Self {
        if loop_area(&outer) < 0.0 {
            outer.reverse();
        }
        Self { outer, holes: Vec::new() }
    }
    /// An axis-parallel rectangle.
    pub fn rectangle(b: Bounds) -> Self {
        Self::simple(b.corners().to_vec())
    }
    /// Outer loop, then holes.
    pub fn loops(&self) -> impl Iterator<Item = &Vec<Point>> {
        std::iter::once(&self.outer).chain(&self.holes)
    }
    /// Area in mm², holes taken off.
    pub fn area(&self) -> f64 {
        self.loops().map(|l| loop_area(l)).sum()
    }
    /// True when `p` lies inside (even-odd rule; on the border either answer may come).
    pub fn contains(&self, p: Point) -> bool {
        let mut inside = false;
        for l in self.loops() {
            for (a, b) in loop_edges(l) {
                if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

impl From<Polygon> for Region {
    fn from(p: Polygon) -> Self {
        Self { polygons: vec![p] }
    }
}

impl Region {
    /// The region of nothing.
    pub const EMPTY: Self = Self { polygons: Vec::new() };

    /// An axis-parallel rectangle.
    pub fn rectangle(b: Bounds) -> Self {
        Polygon::rectangle(b).into()
    }
    /// True when it has no polygon.
    pub fn is_empty(&self) -> bool {
        self.polygons.is_empty()
    }
    /// All loops, outer ones and holes.
    pub fn loops(&self) -> impl Iterator<Item = &Vec<Point>> {
        self.polygons.iter().flat_map(Polygon::loops)
    }
    /// All edges; the inside lies on the left.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.loops().flat_map(|l| loop_edges(l))
    }
    /// All vertices.
    pub fn vertices(&self) -> impl Iterator<Item = Point> + '_ {
        self.loops().flatten().copied()
    }
    /// Vertices of the outer loops.
    pub fn outer_vertices(&self) -> impl Iterator<Item = Point> + '_ {
        self.polygons.iter().flat_map(|p| &p.outer).copied()
    }
    /// Number of vertices.
    pub fn vertex_count(&self) -> usize {
        self.loops().map(Vec::len).sum()
    }
    /// Area in mm².
    pub fn area(&self) -> f64 {
        self.polygons.iter().map(Polygon::area).sum()
    }
    /// Length of all loops in mm.
    pub fn perimeter(&self) -> f64 {
        self.edges().map(|(a, b)| a.distance(b)).sum()
    }
    /// Least box round it.
    pub fn bounds(&self) -> Bounds {
        Bounds::of(self.outer_vertices())
    }
    /// True when `p` lies inside (on the border either answer may come).
    pub fn contains(&self, p: Point) -> bool {
        self.polygons.iter().any(|q| q.contains(p))
    }
    /// Each vertex sent through `f`; `f` must keep orientation.
    #[must_use]
    pub fn map(&self, f: impl Fn(Point) -> Point) -> Self {
        let ring = |l: &Vec<Point>| l.iter().map(|&p| f(p)).collect::<Vec<_>>();
        Self {
            polygons: self
                .polygons
                .iter()
                .map(|p| Polygon { outer: ring(&p.outer), holes: p.holes.iter().map(ring).collect() })
                .collect(),
        }
    }
    /// The region after a rigid move.
    #[must_use]
    pub fn placed(&self, at: Placement) -> Self {
        let (c, s) = at.cos_sin();
        self.map(|p| Point::new(p.x * c - p.y * s + at.x, p.x * s + p.y * c + at.y))
    }
    /// The mirror image about the y axis (x → −x), loops turned round again.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let mut m = self.map(|p| Point::new(-p.x, p.y));
        for l in m.polygons.iter_mut().flat_map(|p| std::iter::once(&mut p.outer).chain(&mut p.holes)) {
            l.reverse();
        }
        m
    }
}
