//! Mixed shapes, bed by bed: next comes the shape that fits best, the one with most of its border flush.
//!
//! Each bed is filled several times with chance in the choice, and the fullest filling is kept. Source: common practice
//! of jigsaw heuristics (touching perimeter, Lodi, Martello & Vigo 1999, from memory), here on exact positions in
//! contact.

use std::{collections::BTreeMap, f64::consts::TAU, sync::OnceLock};

use crate::{
    geom::{Bounds, Placement, Point, Region},
    watch::Watch,
};
use crate::{
    packing::{Layout, bodies::contacts::Contacts, bodies::zone_table::ZoneTable, mixed::plan::Plan},
    rng::Rng,
};

/// Edges run together when they are apart by this share of the room at most.
const FLUSH: f64 = 3e-4;
/// Sine of the angle at which edges still count as parallel.
const PARALLEL: f64 = 1e-4;
/// A bed is full when no more than this share is free.
const FULL: f64 = 1e-3;

/// An edge: start, direction, length, and how far off another shape must keep.
#[derive(Debug, Clone, Copy)]
struct Edge {
    from: Point,
    along: Point,
    length: f64,
    gap: f64,
}

fn edges(region: &Region, gap: f64) -> Vec<Edge> {
    let edge = |(a, b): (Point, Point)| Edge { from: a, along: (b - a).normalized(), length: a.distance(b), gap };
    region.edges().map(edge).collect()
}

/// Do two edges, each with its inside on the left, run against each other?
fn facing(moving: &Edge, still: &Edge) -> bool {
    moving.along.dot(still.along) <= 0.0 && moving.along.cross(still.along).abs() <= PARALLEL
}

/// Pairs of edges that run against each other: moving, still.
type Pairs = Vec<(usize, usize)>;

fn facing_pairs(moving: &[Edge], still: &[Edge]) -> Pairs {
    // By angle, so that only neighbours are looked at.
    let angle = |d: Point| d.y.atan2(d.x);
    let mut by_angle: Vec<(f64, usize)> = still.iter().enumerate().map(|(k, e)| (angle(-e.along), k)).collect();
    by_angle.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut pairs = Pairs::new();
    for (i, e) in moving.iter().enumerate() {
        for full in [-TAU, 0.0, TAU] {
            let (low, high) = (angle(e.along) + full - 2.0 * PARALLEL, angle(e.along) + full + 2.0 * PARALLEL);
            let from = by_angle.partition_point(|(a, _)| *a < low);
            let near = by_angle[from..].iter().take_while(|(a, _)| *a <= high);
            pairs.extend(near.map(|&(_, k)| (i, k)).filter(|&(i, k)| facing(&moving[i], &still[k])));
        }
    }
    pairs.sort_unstable();
    pairs
}

/// Length along which a moving edge is flush with a still one that it faces; `by`: how far the moving one has come nearer.
fn flush(moving: &Edge, by: Point, still: &Edge, tolerance: f64) -> f64 {
    let r = moving.from + by - still.from;
    if (still.along.cross(r) + still.gap).abs() > tolerance {
        return 0.0;
    }
    let end = still.along.dot(r);
    (end.min(still.length) - (end - moving.length).max(0.0)).max(0.0)
}

/// Positions in contact of one variant, each with the length of border that is flush there.
#[derive(Debug, Clone)]
struct Spots {
    field: Contacts,
    marked: Vec<(Point, f64)>,
    seen: usize,
}

/// A variant's outline.
struct Side {
    edges: Vec<Edge>,
    bounds: Bounds,
    border: f64,
}

/// What all fillings of all beds look up, each when first asked for.
pub(in crate::packing) struct Fitter<'a> {
    table: &'a ZoneTable<'a>,
    sides: Vec<Side>,
    /// Which edges of a moving and a still variant run against each other.
    pairs: Vec<OnceLock<Pairs>>,
    beds: Vec<OnceLock<EmptyBed>>,
}

/// What fillings of one bed begin from.
struct EmptyBed {
    room: f64,
    tolerance: f64,
    walls: Vec<Edge>,
    /// By variant.
    begun: Vec<OnceLock<Begun>>,
}

/// A variant on a bed that nothing has been laid on.
struct Begun {
    against_walls: Pairs,
    spots: Spots,
}

/// One bed's copies and the area they take.
type Filling = (f64, Vec<(usize, Point)>);

/// A copy with its outline's box, grown so that only what meets it can be flush with it.
type Laid = (usize, Point, Bounds);

impl<'a> Fitter<'a> {
    pub(in crate::packing) fn new(table: &'a ZoneTable<'a>) -> Self {
        let side = |shape: usize, turn_rad: f64| {
            let shadow = table.problem.shapes[shape].shadow.region().placed(Placement::new(0.0, 0.0, turn_rad));
            let edges = edges(&shadow, table.problem.gap_mm.max(0.0));
            Side { border: edges.iter().map(|e| e.length).sum(), edges, bounds: shadow.bounds() }
        };
        let sides: Vec<Side> = table.variants.iter().map(|v| side(v.shape, v.turn_rad)).collect();
        let pairs = (0..sides.len() * sides.len()).map(|_| OnceLock::new()).collect();
        let beds = table.problem.beds.iter().map(|_| OnceLock::new()).collect();
        Self { table, sides, pairs, beds }
    }

    fn bed(&self, bed: usize) -> &EmptyBed {
        self.beds[bed].get_or_init(|| {
            let b = &self.table.problem.beds[bed];
            let mut walls = edges(&b.room, 0.0);
            for w in &mut walls {
                *w = Edge { from: w.from + w.along * w.length, along: -w.along, ..*w };
            }
            walls.extend(b.keep_outs.iter().flat_map(|k| edges(k, 0.0)));
            for &(v, at) in &self.table.fixed[bed] {
                walls.extend(self.sides[v].edges.iter().map(|e| Edge { from: e.from + at, ..*e }));
            }
            let size = b.room.bounds();
            EmptyBed {
                room: b.room.area(),
                tolerance: FLUSH * size.width().max(size.height()),
                walls,
                begun: self.sides.iter().map(|_| OnceLock::new()).collect(),
            }
        })
    }

    fn begun(&self, bed: usize, variant: usize) -> &Begun {
        let on = self.bed(bed);
        on.begun[variant].get_or_init(|| {
            let field = Contacts::new(self.table, bed, variant);
            let mut begun = Begun {
                against_walls: facing_pairs(&self.sides[variant].edges, &on.walls),
                spots: Spots { field, marked: Vec::new(), seen: 0 },
            };
            let marked = begun.spots.field.free().iter().map(|&p| (p, self.at_walls(on, &begun, variant, p)));
            begun.spots.marked = marked.collect();
            begun
        })
    }

    fn at_walls(&self, on: &EmptyBed, begun: &Begun, variant: usize, p: Point) -> f64 {
        let edges = &self.sides[variant].edges;
        begun.against_walls.iter().map(|&(i, k)| flush(&edges[i], p, &on.walls[k], on.tolerance)).sum()
    }

    fn at_copy(&self, variant: usize, p: Point, &(v, at, reach): &Laid, tolerance: f64) -> f64 {
        let (moving, still) = (&self.sides[variant], &self.sides[v]);
        if !moving.bounds.moved(p).overlaps(reach) {
            return 0.0;
        }
        let pairs =
            self.pairs[variant * self.sides.len() + v].get_or_init(|| facing_pairs(&moving.edges, &still.edges));
        pairs.iter().map(|&(i, k)| flush(&moving.edges[i], p - at, &still.edges[k], tolerance)).sum()
    }

    fn laid(&self, (v, at): (usize, Point), tolerance: f64) -> Laid {
        let reach = self.table.problem.gap_mm.max(0.0) + 2.0 * tolerance;
        (v, at, self.sides[v].bounds.moved(at).grown(reach))
    }

    /// Takes in the copies that a filling has gained.
    fn catch_up(&self, bed: usize, variant: usize, spots: &mut Spots, filling: &Filling) {
        let (on, begun) = (self.bed(bed), self.begun(bed, variant));
        spots.field.catch_up(self.table, &filling.1);
        let all: Vec<Laid> = filling.1.iter().map(|&c| self.laid(c, on.tolerance)).collect();
        let at = |copies: &[Laid], p: Point| -> f64 {
            copies.iter().map(|c| self.at_copy(variant, p, c, on.tolerance)).sum()
        };
        let added = all.get(spots.seen..).unwrap_or_default();
        let mut old = std::mem::take(&mut spots.marked).into_iter();
        // The field keeps the order of what stays free, and new positions come last.
        for &p in spots.field.free() {
            let mark = match old.find(|(q, _)| *q == p) {
                Some((_, mark)) => mark + at(added, p),
                None => self.at_walls(on, begun, variant, p) + at(&all, p),
            };
            spots.marked.push((p, mark));
        }
        spots.seen = all.len();
    }

    /// The fullest of some fillings of the bed with what is left of each shape.
    fn fill(&self, bed: usize, left: &[usize], tries: usize, rng: &mut Rng, watch: &dyn Watch<Layout>) -> Filling {
        let mut best: Filling = (0.0, Vec::new());
        for _ in 0..tries {
            if watch.cancelled() {
                break;
            }
            // Anew, or the best but for some copies near a place.
            let mut kept = if rng.below(3) == 0 { Vec::new() } else { best.1.clone() };
            if !kept.is_empty() {
                let around = self.middle(kept[rng.below(kept.len())]);
                kept.sort_by(|a, b| self.middle(*b).distance(around).total_cmp(&self.middle(*a).distance(around)));
                kept.truncate(rng.below(kept.len()));
            }
            let filling = self.filling(bed, left.to_vec(), kept, rng, watch);
            if filling.0 >= best.0 - 1e-9 {
                best = filling;
            }
            if best.0 >= self.bed(bed).room * (1.0 - FULL) {
                break;
            }
        }
        best
    }

    fn middle(&self, (v, at): (usize, Point)) -> Point {
        at + self.table.variants[v].bounds.centre()
    }

    /// A filling that begins with some copies.
    fn filling(
        &self,
        bed: usize,
        mut left: Vec<usize>,
        laid: Vec<(usize, Point)>,
        rng: &mut Rng,
        watch: &dyn Watch<Layout>,
    ) -> Filling {
        let table = self.table;
        let shape_of = |v: usize| table.variants[v].shape;
        let area = |s: usize| table.bodies[s].true_area;
        let largest = (0..left.len()).filter(|&s| left[s] > 0).map(area).fold(1e-9, f64::max);
        // How much size counts, and how much chance.
        let (power, chance) = (rng.between(0.1, 0.8), rng.between(0.02, 0.25));
        let mut class = Plan::new(table.problem.beds.len()).class(table, bed);
        let mut filling: Filling = (0.0, laid);
        for &(v, _) in &filling.1 {
            left[shape_of(v)] -= 1;
            filling.0 += area(shape_of(v));
            class = class.or(Some(table.problem.shapes[shape_of(v)].class));
        }
        let fits = |s: usize, class: Option<u32>| {
            table.admits(bed, s) && class.is_none_or(|c| c == table.problem.shapes[s].class)
        };
        // Positions are worked out for what can still come.
        let room = self.bed(bed).room;
        let open = |v: usize, left: &[usize], filling: &Filling, class: Option<u32>| {
            let s = shape_of(v);
            left[s] > 0 && area(s) <= (room - filling.0) * (1.0 + 1e-6) && fits(s, class)
        };
        let mut live: BTreeMap<usize, Spots> = table
            .of_shape
            .iter()
            .flatten()
            .filter(|&&v| open(v, &left, &filling, class))
            .map(|&v| (v, self.begun(bed, v).spots.clone()))
            .collect();
        while !watch.cancelled() {
            live.retain(|v, _| open(*v, &left, &filling, class));
            let mut best: Option<(f64, usize, Point)> = None;
            for (&v, spots) in &mut live {
                self.catch_up(bed, v, spots, &filling);
                let s = shape_of(v);
                let border = self.sides[v].border;
                let weight = (area(s) / largest).powf(power) * (1.0 + chance * rng.unit());
                for &(p, mark) in &spots.marked {
                    let rate = weight * (0.05 + mark / border) * (1.0 + 0.3 * chance * rng.unit());
                    if best.is_none_or(|(r, ..)| rate > r) {
                        best = Some((rate, v, p));
                    }
                }
            }
            let Some((_, v, p)) = best else { break };
            // What has no place any more gets none later.
            live.retain(|_, spots| !spots.marked.is_empty());
            let s = shape_of(v);
            left[s] -= 1;
            filling.0 += area(s);
            class = class.or(Some(table.problem.shapes[s].class));
            filling.1.push((v, p));
        }
        filling
    }
}

/// Some beds of a plan (`all`: all of them) emptied and filled anew, the last one among them.
pub(in crate::packing) fn refill(
    fitter: &Fitter<'_>,
    best: &Plan,
    all: bool,
    tries: usize,
    rng: &mut Rng,
    watch: &dyn Watch<Layout>,
) -> Option<Plan> {
    let table = fitter.table;
    let used: Vec<usize> = (0..best.beds.len()).filter(|&b| !best.beds[b].is_empty()).collect();
    let &last = used.last()?;
    let area =
        |b: usize| -> f64 { best.beds[b].iter().map(|&(v, _)| table.bodies[table.variants[v].shape].true_area).sum() };
    // Full beds stay more often than not.
    let full = |b: usize| area(b) >= (1.0 - FULL) * table.problem.beds[b].room.area();
    let mut open: Vec<usize> = used.iter().copied().filter(|&b| b != last && (!full(b) || rng.below(5) == 0)).collect();
    let keep = 1 + rng.below(open.len().clamp(1, 6));
    while open.len() > keep && !all {
        open.remove(rng.below(open.len()));
    }
    open.push(last);
    if all {
        open = used;
    }
    let mut plan = best.clone();
    let mut left = best.missing(table);
    for &b in &open {
        for (v, _) in std::mem::take(&mut plan.beds[b]) {
            left[table.variants[v].shape] += 1;
        }
    }
    for b in open {
        let (_, laid) = fitter.fill(b, &left, tries, rng, watch);
        for &(v, _) in &laid {
            left[table.variants[v].shape] -= 1;
        }
        plan.beds[b] = laid;
    }
    // What fits on none of them goes where the constructive move finds room.
    let rest = left.iter().enumerate().flat_map(|(s, &n)| std::iter::repeat_n(s, n)).collect::<Vec<_>>();
    let style =
        crate::packing::mixed::place::Style { key: crate::packing::mixed::place::Key::Low, turns: 8, proved: false };
    crate::packing::mixed::place::fill(table, &mut plan, rest, style, watch);
    (!watch.cancelled()).then_some(plan)
}
