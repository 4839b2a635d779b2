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

/// Corners of a bed times pieces of a body up to which the pieces count one by one. Sums of more take seconds that nothing can
/// interrupt (a bed and a keep-out of 5000 corners and a body of 50 pieces: 3 s); then the body is taken by its hull.
const MOST_SUMS: usize = 60_000;

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
    /// Some of those positions, quicker: the body is taken by its hull, as it is on beds of very many corners.
    pub(in crate::packing) fn of_hull(bed: &Bed, body: &Body, turn_rad: f64) -> Self {
        Self::of(bed, body, turn_rad, true)
    }
    fn of(bed: &Bed, body: &Body, turn_rad: f64, by_hull: bool) -> Self {
        let corners: usize = bed.room.vertex_count() + bed.keep_outs.iter().map(Region::vertex_count).sum::<usize>();
        let at = Placement::new(0.0, 0.0, turn_rad);
        let hull: Vec<Point> = body.hull.iter().map(|&p| at.apply(p)).collect();
        // Only keep-outs and rooms with inward corners need the pieces.
        let simple = bed.keep_outs.is_empty()
            && matches!(bed.room.polygons.as_slice(),
            [p] if p.holes.is_empty() && convex::is_convex(&p.outer));
        let pieces: Vec<Vec<Point>> = if simple {
            Vec::new()
        } else if by_hull || corners.saturating_mul(body.ground.pieces().len()) > MOST_SUMS {
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

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::geom::{Outline, Placement};
    use crate::{
        packing::{Aim, Problem, Shape},
        rng::Rng,
    };

    fn wavy(middle: f64, radius: f64, waves: f64, corners: usize) -> Region {
        let at = |i: usize| {
            let turn = TAU * i as f64 / corners as f64;
            Point::new(middle, middle) + Point::new(radius * (1.0 + 0.2 * (waves * turn).sin()), 0.0).turned(turn)
        };
        Polygon::simple((0..corners).map(at).collect()).into()
    }

    /// Few corners: positions to the edge of the hollows. Very many: those of the hull, none of which lies on the keep-out. Referee: the
    /// exact distance of the outlines, which knows nothing of sums.
    #[test]
    fn beds_of_very_many_corners_take_the_body_by_its_hull() {
        let star = Outline::new(wavy(0.0, 9.0, 5.0, 60));
        let shape = Shape {
            shadow: star.clone(),
            contact: star.clone(),
            footing: star.clone(),
            turn_step_rad: None,
            class: 0,
            height_mm: 1.0,
        };
        let square = Region::rectangle(Bounds::new(Point::default(), Point::new(100.0, 100.0)));
        let mut kept = [0, 0];
        for (n, corners) in [200, 30_000].into_iter().enumerate() {
            let keep_out = wavy(50.0, 20.0, 7.0, corners);
            let bed = Bed {
                room: square.clone(),
                keep_outs: vec![keep_out.clone()],
                fixed: Vec::new(),
                class: None,
                height_mm: 9.0,
                twin: None,
            };
            let problem = Problem {
                shapes: vec![shape.clone()],
                beds: vec![bed.clone()],
                gap_mm: 0.0,
                footing_gap_mm: 0.0,
                footings_may_merge: false,
                aim: Aim::Pack { counts: vec![1] },
            };
            let body = Body::new(&shape, &problem, [0.0; 2]);
            let (fit, by_hull) = (InnerFit::new(&bed, &body, 0.3), InnerFit::of_hull(&bed, &body, 0.3));
            let border = Outline::new(keep_out);
            let mut rng = Rng::new(7);
            for _ in 0..400 {
                let p = Point::new(rng.between(10.0, 90.0), rng.between(10.0, 90.0));
                let holds = fit.holds(p, 0.0);
                if holds {
                    let far = border.distance(Placement::default(), &star, Placement::new(p.x, p.y, 0.3));
                    assert!(far > 0.0, "{p:?}");
                    kept[n] += 1;
                }
                if corners > 1000 {
                    assert_eq!(holds, by_hull.holds(p, 0.0), "{p:?}");
                } else {
                    assert!(holds || !by_hull.holds(p, 0.0), "{p:?}");
                }
            }
        }
        assert!(kept[0] > kept[1] && kept[1] > 50, "{kept:?}");
    }
}
