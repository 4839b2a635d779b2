//! A region prepared for many distance questions.

use std::sync::Arc;

use parry2d::{
    math::{Pose, Vector},
    query,
    shape::Polyline,
};

use super::{Bounds, Placement, Point, Region};

/// A region with a tree over its edges (by `parry2d`). Cheap to clone.
#[derive(Clone)]
pub struct Outline {
    region: Arc<Region>,
    border: Option<Arc<Polyline>>,
    bounds: Bounds,
    /// Greatest distance of a vertex from the origin: a bound that holds for every turn.
    reach: f64,
}

impl std::fmt::Debug for Outline {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Outline").field("region", &self.region).finish_non_exhaustive()
    }
}

impl Outline {
    /// Prepares a region.
    pub fn new(region: impl Into<Arc<Region>>) -> Self {
        let region: Arc<Region> = region.into();
        let mut vertices = Vec::with_capacity(region.vertex_count());
        let mut indices = Vec::with_capacity(region.vertex_count());
        for l in region.loops() {
            let (base, n) = (vertices.len() as u32, l.len() as u32);
            vertices.extend(l.iter().map(|p| Vector::new(p.x, p.y)));
            indices.extend((0..n).map(|i| [base + i, base + (i + 1) % n]));
        }
        let border = (!indices.is_empty()).then(|| Arc::new(Polyline::new(vertices, Some(indices))));
        let bounds = region.bounds();
        let reach = region.outer_vertices().map(Point::length).fold(0.0, f64::max);
        Self { region, border, bounds, reach }
    }
    /// The region.
    pub fn region(&self) -> &Region {
        &self.region
    }
    /// The region, shared.
    pub fn shared_region(&self) -> Arc<Region> {
        self.region.clone()
    }
    /// Box of the unmoved region.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }
    /// Greatest distance of a vertex from the origin.
    pub fn reach(&self) -> f64 {
        self.reach
    }
    /// A box that holds the moved region; exact at quarter turns.
    pub fn bounds_at(&self, at: Placement) -> Bounds {
        Bounds::of(self.bounds.corners().map(|p| at.apply(p)))
    }
    /// Distance in mm between two placed regions: 0 where they overlap or touch, infinite where one is empty.
    /// Exact to rounding (about 1e-12 mm on a bed).
    pub fn distance(&self, at: Placement, other: &Self, other_at: Placement) -> f64 {
        let (Some(a), Some(b)) = (&self.border, &other.border) else { return f64::INFINITY };
        if self.holds_part_of(at, other, other_at) || other.holds_part_of(other_at, self, at) {
            return 0.0;
        }
        query::distance(&pose(at), a.as_ref(), &pose(other_at), b.as_ref()).map_or(0.0, |d| d.distance)
    }
    /// True when the placed regions are at least `gap_mm` apart (to 1e-9 mm).
    pub fn clear_of(&self, at: Placement, other: &Self, other_at: Placement, gap_mm: f64) -> bool {
        self.bounds_at(at).distance(other.bounds_at(other_at)) >= gap_mm
            && gap_mm > 0.0
            || self.distance(at, other, other_at) >= gap_mm - 1e-9
    }
    /// Some vertex of each polygon of `other` inside `self`? With borders apart this decides containment.
    fn holds_part_of(&self, at: Placement, other: &Self, other_at: Placement) -> bool {
        other.region.polygons.iter().any(|p| {
            p.outer.first().is_some_and(|&v| {
                let local = at.unapply(other_at.apply(v));
                self.bounds.contains(local) && self.region.contains(local)
            })
        })
    }
    /// Distance of a point from the placed border, and whether the point lies inside.
    pub fn border_distance(&self, at: Placement, p: Point) -> (f64, bool) {
        let local = at.unapply(p);
        let d = self
            .region
            .edges()
            .map(|(a, b)| segment_distance(local, a, b))
            .fold(f64::INFINITY, f64::min);
        (d, self.region.contains(local))
    }
}

fn pose(at: Placement) -> Pose {
    Pose::new(Vector::new(at.x, at.y), at.turn_rad)
}

/// Distance of `p` from the segment a–b.
fn segment_distance(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let t = if d.length_squared() > 0.0 { ((p - a).dot(d) / d.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + d * t)
}
