//! Where a body may lie on an empty bed.

use crate::geom::{Bounds, Placement, Point, Polygon, Region, boolean, hull};
use crate::packing::{
    Bed, bodies::body::Body, bodies::cleaned::cleaned, bodies::convex, bodies::zone, bodies::zone::Zone,
};

/// Rooms are widened by this, so that an exact fit keeps a position; far below every tolerance.
pub(in crate::packing) const SLACK_MM: f64 = 4e-10;

/// One polygon of the room: a convex area less blocks.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Site {
    /// Convex, counter-clockwise; may be as small as a point.
    pub(in crate::packing) area: Vec<Point>,
    pub(in crate::packing) bounds: Bounds,
    /// Room edges as (inward unit normal, least value of normal · position).
    pub(in crate::packing) walls: Vec<(Point, f64)>,
    /// What else is forbidden: the outside of a room that is not convex.
    pub(in crate::packing) blocks: Vec<Zone>,
}

/// Positions of a body's origin with shadow and footing inside the room and off the keep-outs.
#[derive(Debug, Clone, Default)]
pub(in crate::packing) struct InnerFit {
    pub(in crate::packing) sites: Vec<Site>,
    pub(in crate::packing) keep_outs: Vec<Zone>,
}

impl Site {
    pub(in crate::packing) fn holds(&self, p: Point, tolerance: f64) -> bool {
        self.within_walls(p, tolerance) && !self.blocks.iter().any(|z| z.blocks(p, tolerance))
    }
}

impl Site {
    /// Inside the convex area, whatever blocks parts of it?
    pub(in crate::packing) fn within_walls(&self, p: Point, tolerance: f64) -> bool {
        self.walls.iter().all(|&(n, least)| n.dot(p) >= least - tolerance)
    }
}

impl InnerFit {
    pub(in crate::packing) fn new(bed: &Bed, body: &Body, turn_rad: f64) -> Self {
        Self::of(bed, body, turn_rad, false)
    }
    /// Some of those positions, quicker: the body is taken by its hull.
    pub(in crate::packing) fn of_hull(bed: &Bed, body: &Body, turn_rad: f64) -> Self {
        Self::of(bed, body, turn_rad, true)
    }
    fn of(bed: &Bed, body: &Body, turn_rad: f64, by_hull: bool) -> Self {
        let at = Placement::new(0.0, 0.0, turn_rad);
        let hull: Vec<Point> = body.hull.iter().map(|&p| at.apply(p)).collect();
        // Only keep-outs and rooms with inward corners need the pieces.
        let simple = bed.keep_outs.is_empty()
            && matches!(bed.room.polygons.as_slice(),
            [p] if p.holes.is_empty() && convex::is_convex(&p.outer));
        let pieces: Vec<Vec<Point>> = if simple {
            Vec::new()
        } else if by_hull {
            vec![hull::convex_hull(body.ground.hull().iter().map(|&p| at.apply(p)))]
        } else {
            body.ground.pieces().iter().map(|l| l.iter().map(|&p| at.apply(p)).collect()).collect()
        };
        let reach = Bounds::of(hull.iter().copied());
        let room = cleaned(&bed.room);
        let sites = room.polygons.iter().filter_map(|p| site(p, &hull, &pieces)).collect();
        let wide = room.bounds().grown(reach.width() + reach.height());
        let keep_outs = bed
            .keep_outs
            .iter()
            .map(cleaned)
            .filter(|k| !k.is_empty() && k.bounds().overlaps(wide))
            .map(|k| Zone::new(&zone::overlap_positions(&convex::without_holes(&k), &pieces)))
            .filter(|z| !z.is_empty())
            .collect();
        Self { sites, keep_outs }
    }
    /// Corners of the convex areas in which positions lie, whatever blocks parts of them: quick.
    pub(in crate::packing) fn corners(bed: &Bed, body: &Body, turn_rad: f64) -> Vec<Point> {
        let at = Placement::new(0.0, 0.0, turn_rad);
        let hull: Vec<Point> = body.hull.iter().map(|&p| at.apply(p)).collect();
        cleaned(&bed.room).polygons.iter().filter_map(|p| site(p, &hull, &[])).flat_map(|s| s.area).collect()
    }
    pub(in crate::packing) fn holds(&self, p: Point, tolerance: f64) -> bool {
        self.sites.iter().any(|s| s.holds(p, tolerance)) && !self.keep_outs.iter().any(|z| z.blocks(p, tolerance))
    }
}

fn site(room: &Polygon, hull: &[Point], pieces: &[Vec<Point>]) -> Option<Site> {
    let outer = Bounds::of(room.outer.iter().copied());
    let convex = room.holes.is_empty() && convex::is_convex(&room.outer);
    let border = if convex { room.outer.clone() } else { outer.corners().to_vec() };
    let n = border.len();
    let walls: Vec<(Point, f64)> = (0..n)
        .filter_map(|i| {
            let (a, b) = (border[i], border[(i + 1) % n]);
            let normal = (b - a).perpendicular().normalized();
            let support = hull.iter().map(|p| normal.dot(*p)).fold(f64::INFINITY, f64::min);
            (normal.length_squared() > 0.5).then(|| (normal, normal.dot(a) - support - SLACK_MM))
        })
        .collect();
    let shape = Bounds::of(hull.iter().copied());
    let start = Bounds::new(outer.min - shape.min, outer.max - shape.max).grown(SLACK_MM);
    if start.is_empty() {
        return None;
    }
    let mut area = start.corners().to_vec();
    for &(normal, least) in &walls {
        area = clip(&area, normal, least);
        if area.is_empty() {
            return None;
        }
    }
    let mut blocks = Vec::new();
    if !convex && !pieces.is_empty() {
        let margin = 1.0 + shape.width() + shape.height();
        let frame = boolean::difference(&Region::rectangle(outer.grown(margin)), &room.clone().into());
        blocks.push(Zone::new(&zone::overlap_positions(&convex::without_holes(&frame), pieces)));
    }
    Some(Site { bounds: Bounds::of(area.iter().copied()), area, walls, blocks })
}

/// The part of a convex loop with normal · p ≥ least.
pub(in crate::packing) fn clip(area: &[Point], normal: Point, least: f64) -> Vec<Point> {
    let n = area.len();
    let mut out = Vec::with_capacity(n + 1);
    for i in 0..n {
        let (a, b) = (area[i], area[(i + 1) % n]);
        let (da, db) = (normal.dot(a) - least, normal.dot(b) - least);
        if da >= 0.0 {
            out.push(a);
        }
        if (da > 0.0 && db < 0.0) || (da < 0.0 && db > 0.0) {
            out.push(a.lerp(b, da / (da - db)));
        }
    }
    out
}
