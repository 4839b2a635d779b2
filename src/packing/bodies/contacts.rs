//! Positions in contact for one variant on one bed.

use std::sync::Arc;

use crate::geom::{Bounds, Point};
use crate::packing::{bodies::inner_fit::InnerFit, bodies::zone::Zone, bodies::zone_table::ZoneTable};

/// A position counts as clear when it is no deeper than this inside a zone, mm.
pub(in crate::packing) const CONTACT_MM: f64 = 2e-10;

/// Edges that follow one another share a box, so many at a time: most pairs of edges are passed over by it.
const RUN: usize = 8;

/// A border that positions in contact lie on.
#[derive(Debug)]
struct Curve {
    edges: Vec<(Point, Point)>,
    /// Box of each [`RUN`] of edges.
    runs: Vec<Bounds>,
    bounds: Bounds,
}

fn box_of(&(a, d): &(Point, Point)) -> Bounds {
    Bounds::of([a, a + d])
}

impl Curve {
    fn new(edges: Vec<(Point, Point)>) -> Self {
        let runs: Vec<Bounds> =
            edges.chunks(RUN).map(|run| run.iter().map(box_of).fold(Bounds::EMPTY, Bounds::union)).collect();
        let bounds = runs.iter().copied().fold(Bounds::EMPTY, Bounds::union);
        Self { edges, runs, bounds }
    }

    /// Runs of edges that come near a box.
    fn near(&self, bounds: Bounds) -> impl Iterator<Item = (&[(Point, Point)], Bounds)> {
        let runs = self.edges.chunks(RUN).zip(self.runs.iter().copied());
        runs.filter(move |(_, b)| b.overlaps(bounds))
    }

    /// Adds where two borders cross.
    fn crossings(&self, other: &Self, found: &mut Vec<Point>) {
        for (mine, own) in self.near(other.bounds) {
            for (theirs, _) in other.near(own) {
                for e in theirs {
                    let about = box_of(e);
                    if about.overlaps(own) {
                        let meet = mine.iter().filter(|f| box_of(f).overlaps(about));
                        found.extend(meet.filter_map(|f| crossing(*f, *e)));
                    }
                }
            }
        }
    }
}

/// All free positions of a variant at corners of its free space: corners of zones and of the room, and crossings of
/// their borders. Kept up as copies are added.
#[derive(Debug, Clone)]
pub(in crate::packing) struct Contacts {
    variant: usize,
    inner_fit: Arc<InnerFit>,
    zones: Vec<(Arc<Zone>, Point)>,
    curves: Vec<Arc<Curve>>,
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
            f.add_curve((0..n).map(|i| (s.area[i], s.area[(i + 1) % n] - s.area[i])).collect());
            for z in &s.blocks {
                f.add_curve(z.edges().collect());
            }
        }
        for z in &inner_fit.keep_outs {
            f.add_curve(z.edges().collect());
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
        self.add_curve(edges);
    }

    fn add_curve(&mut self, edges: Vec<(Point, Point)>) {
        let mut found: Vec<Point> = edges.iter().map(|e| e.0).collect();
        let curve = Curve::new(edges);
        for other in self.curves.iter().filter(|other| other.bounds.overlaps(curve.bounds)) {
            curve.crossings(other, &mut found);
        }
        self.curves.push(Arc::new(curve));
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
