//! Positions in contact for one variant on one bed.

use std::sync::Arc;

use crate::geom::{Bounds, Point};
use crate::packing::{bodies::inner_fit::InnerFit, bodies::zone::Zone, bodies::zone_table::ZoneTable};

/// A position counts as clear when it is no deeper than this inside a zone, mm.
pub(in crate::packing) const CONTACT_MM: f64 = 2e-10;

/// A border that positions in contact lie on.
#[derive(Debug, Clone)]
struct Curve {
    edges: Vec<(Point, Point)>,
    bounds: Bounds,
}

/// All free positions of a variant at corners of its free space: corners of zones and of the room, and crossings of
/// their borders. Kept up as copies are added.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Contacts {
    variant: usize,
    inner_fit: Arc<InnerFit>,
    zones: Vec<(Arc<Zone>, Point)>,
    curves: Vec<Curve>,
    free: Vec<Point>,
    /// Copies of the bed seen so far.
    seen: usize,
}

impl Contacts {
    pub(in crate::packing) fn new(table: &ZoneTable<'_>, bed: usize, variant: usize) -> Self {
        let mut f = Self {
            variant,
            inner_fit: table.inner_fit(bed, variant).clone(),
            zones: Vec::new(),
            curves: Vec::new(),
            free: Vec::new(),
            seen: 0,
        };
        let inner_fit = f.inner_fit.clone();
        for s in &inner_fit.sites {
            let n = s.area.len();
            f.add_curve((0..n).map(|i| (s.area[i], s.area[(i + 1) % n] - s.area[i])).collect(), s.bounds);
            for z in &s.blocks {
                f.add_curve(z.edges().collect(), z.bounds());
            }
        }
        for z in &inner_fit.keep_outs {
            f.add_curve(z.edges().collect(), z.bounds());
        }
        for &(v, at) in &table.fixed[bed] {
            f.add(table, v, at);
        }
        f
    }

    /// Takes in the copies added to the bed since the last call.
    pub(in crate::packing) fn catch_up(&mut self, table: &ZoneTable<'_>, placed: &[(usize, Point)]) {
        for &(v, at) in placed.get(self.seen..).unwrap_or_default() {
            if self.free.is_empty() {
                break;
            }
            self.add(table, v, at);
        }
        self.seen = placed.len();
    }

    /// Free positions in contact.
    pub(in crate::packing) fn free(&self) -> &[Point] {
        &self.free
    }

    fn add(&mut self, table: &ZoneTable<'_>, still: usize, at: Point) {
        let zone = table.pair(still, self.variant).clone();
        let bounds = zone.bounds().moved(at);
        if zone.is_empty() || !self.inner_fit.sites.iter().any(|s| s.bounds.overlaps(bounds)) {
            return;
        }
        self.free.retain(|&p| !zone.blocks(p - at, CONTACT_MM));
        let edges = zone.edges().map(|(a, d)| (a + at, d)).collect();
        self.zones.push((zone, at));
        self.add_curve(edges, bounds);
    }

    fn add_curve(&mut self, edges: Vec<(Point, Point)>, bounds: Bounds) {
        let mut found: Vec<Point> = edges.iter().map(|e| e.0).collect();
        let touches = |e: &(Point, Point), b: Bounds| Bounds::of([e.0, e.0 + e.1]).overlaps(b);
        for other in &self.curves {
            if !other.bounds.overlaps(bounds) {
                continue;
            }
            let mine: Vec<_> = edges.iter().filter(|e| touches(e, other.bounds)).collect();
            for o in other.edges.iter().filter(|e| touches(e, bounds)) {
                let ob = Bounds::of([o.0, o.0 + o.1]);
                for e in &mine {
                    if touches(e, ob)
                        && let Some(p) = crossing(**e, *o)
                    {
                        found.push(p);
                    }
                }
            }
        }
        self.curves.push(Curve { edges, bounds });
        found.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        found.dedup_by(|a, b| (a.x - b.x).abs() < 1e-9 && (a.y - b.y).abs() < 1e-9);
        found.retain(|&p| self.clear(p));
        self.free.append(&mut found);
    }

    /// Is the position in the room and clear of everything?
    fn clear(&self, p: Point) -> bool {
        self.inner_fit.holds(p, CONTACT_MM) && !self.zones.iter().any(|(z, at)| z.blocks(p - *at, CONTACT_MM))
    }
}

/// Where two segments (start, vector) cross.
pub(in crate::packing) fn crossing((a, d): (Point, Point), (b, e): (Point, Point)) -> Option<Point> {
    let den = d.cross(e);
    if den * den <= 1e-24 * d.length_squared() * e.length_squared() {
        return None;
    }
    let t = (b - a).cross(e) / den;
    let u = (b - a).cross(d) / den;
    let inside = -1e-12..=1.0 + 1e-12;
    (inside.contains(&t) && inside.contains(&u)).then(|| a + d * t)
}
