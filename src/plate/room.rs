//! Where on a bed things may lie.

use crate::{
    document::{BedShape, Job, Machine},
    geom::{Bounds, Outline, Placement, Point, Region, boolean, depth, disc, offset},
};

/// A bed's outline less the edge margin, with exact tests for each kind of bed.
#[derive(Debug, Clone)]
pub struct Room {
    kind: Kind,
    edge_mm: f64,
    region: Region,
}

#[derive(Debug, Clone)]
enum Kind {
    Rectangle(Bounds),
    Round { centre: Point, radius_mm: f64 },
    Polygon(Outline),
}

impl Room {
    /// The room on a machine with the job's margins.
    pub fn new(job: &Job, machine: &Machine) -> Self {
        Self::within(job, machine, 0.0)
    }
    /// The room on a machine with the job's margins and a strip of `skirt_mm` within them.
    pub fn within(job: &Job, machine: &Machine, skirt_mm: f64) -> Self {
        let (edge_mm, tolerance_mm) = (job.edge_mm(machine) + skirt_mm, job.margins.tolerance_mm);
        match &machine.bed {
            BedShape::Rectangle { width_mm, depth_mm } => {
                let bed = Bounds::new(Point::default(), Point::new(*width_mm, *depth_mm));
                let room = bed.grown(-edge_mm);
                let region = if room.is_empty() { Region::EMPTY } else { Region::rectangle(room) };
                Self { kind: Kind::Rectangle(bed), edge_mm, region }
            }
            BedShape::Round { diameter_mm } => {
                let radius_mm = diameter_mm / 2.0;
                let (centre, left) = (Point::new(radius_mm, radius_mm), radius_mm - edge_mm);
                let region = if left > 0.0 { disc::inside(centre, left, tolerance_mm).into() } else { Region::EMPTY };
                Self { kind: Kind::Round { centre, radius_mm }, edge_mm, region }
            }
            BedShape::Polygon { .. } => {
                let bed: Region = machine.bed.outline(tolerance_mm).into();
                let region = offset::shrink_within(&bed, edge_mm, tolerance_mm);
                Self { kind: Kind::Polygon(Outline::new(bed)), edge_mm, region }
            }
        }
    }
    /// The room as polygons; a round one's lie inside the circle.
    pub fn region(&self) -> &Region {
        &self.region
    }
    /// How far an outline, grown by `by_mm` all round, reaches out of the room, mm; 0 where it lies inside.
    /// Exact for rectangles and discs; for polygons exact but where only an edge, no corner, sticks out.
    pub fn excess_mm(&self, outline: &Outline, at: Placement, by_mm: f64) -> f64 {
        if outline.is_empty() {
            return 0.0;
        }
        let by = by_mm + self.edge_mm;
        match &self.kind {
            Kind::Rectangle(bed) => {
                let b = outline.bounds_at(at);
                let out =
                    (bed.min.x - b.min.x).max(bed.min.y - b.min.y).max(b.max.x - bed.max.x).max(b.max.y - bed.max.y);
                (out + by).max(0.0)
            }
            Kind::Round { centre, radius_mm } => {
                let local = at.unapply(*centre);
                let reach = outline.hull().iter().map(|p| p.distance(local)).fold(0.0, f64::max);
                (reach - radius_mm + by).max(0.0)
            }
            Kind::Polygon(bed) => {
                let home = Placement::default();
                let gap = bed.border_gap(home, outline, at);
                let is_inside = |v: &Point| bed.contains(home, at.apply(*v));
                // With borders apart, one corner of each piece tells where all of it lies.
                if gap > 1e-9 && outline.region().polygons.iter().all(|p| p.outer.first().is_none_or(is_inside)) {
                    return (by - gap).max(0.0);
                }
                let outside = outline
                    .region()
                    .outer_vertices()
                    .filter(|v| !is_inside(v))
                    .map(|v| bed.border_distance(home, at.apply(v)).0)
                    .filter(|d| *d > 1e-9)
                    .fold(0.0, f64::max);
                if outside > 0.0 {
                    return outside + by;
                }
                if gap > 1e-9 {
                    return (by - gap).max(0.0);
                }
                let out = boolean::difference(&outline.region().placed(at), bed.region());
                let crossing = depth::overlap(&out, &out).map_or(0.0, |o| o.depth_mm);
                (crossing + by).max(0.0)
            }
        }
    }
    /// True for a disc.
    pub fn is_round(&self) -> bool {
        matches!(self.kind, Kind::Round { .. })
    }
    /// True for a rectangle.
    pub fn is_rectangular(&self) -> bool {
        matches!(self.kind, Kind::Rectangle(_))
    }
    /// Width and depth of the room's box, mm.
    pub fn size_mm(&self) -> (f64, f64) {
        let b = self.region.bounds();
        (b.width(), b.height())
    }
    /// Where to look for a place first: the middle; on odd beds nine places spread over the box.
    pub(super) fn starts(&self) -> Vec<Point> {
        match &self.kind {
            Kind::Rectangle(bed) => vec![bed.centre()],
            Kind::Round { centre, .. } => vec![*centre],
            Kind::Polygon(bed) => {
                let (b, thirds) = (bed.bounds(), [0.5, 0.2, 0.8]);
                let at =
                    |i: usize, k: usize| Point::new(b.min.x + b.width() * thirds[i], b.min.y + b.height() * thirds[k]);
                (0..9).map(|n| at(n / 3, n % 3)).collect()
            }
        }
    }
}
