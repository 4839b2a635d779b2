//! Mixed shapes, bed by bed: next comes the shape that fits best, the one with most of its border flush.
//!
//! Each bed is filled several times with chance in the choice, and the fullest filling is kept. Source: common practice
//! of jigsaw heuristics (touching perimeter, Lodi, Martello & Vigo 1999, from memory), here on exact positions in
//! contact.

use std::collections::BTreeMap;

use crate::packing::{Layout, bodies::contacts::Contacts, bodies::zone_table::ZoneTable, mixed::plan::Plan, rng::Rng};
use crate::{
    geom::{Placement, Point, Region},
    watch::Watch,
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

/// Length along which a moving edge is flush with a still one, each with its inside on the left.
fn flush(moving: Edge, at: Point, still: &Edge, tolerance: f64) -> f64 {
    if moving.along.dot(still.along) > 0.0 || moving.along.cross(still.along).abs() > PARALLEL {
        return 0.0;
    }
    let r = moving.from + at - still.from;
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

/// What fillings of one bed begin from.
pub(in crate::packing) struct Fitter<'a> {
    table: &'a ZoneTable<'a>,
    bed: usize,
    outlines: Vec<Vec<Edge>>,
    walls: Vec<Edge>,
    begun: BTreeMap<usize, Spots>,
    tolerance: f64,
    room: f64,
}

/// One bed's copies and the area they take.
type Filling = (f64, Vec<(usize, Point)>);

impl<'a> Fitter<'a> {
    pub(in crate::packing) fn new(table: &'a ZoneTable<'a>, bed: usize) -> Self {
        let b = &table.problem.beds[bed];
        let outlines = table
            .variants
            .iter()
            .map(|v| {
                let shadow = table.problem.shapes[v.shape].shadow.region();
                edges(&shadow.placed(Placement::new(0.0, 0.0, v.turn_rad)), table.problem.gap_mm.max(0.0))
            })
            .collect::<Vec<_>>();
        let mut walls = edges(&b.room, 0.0);
        for w in &mut walls {
            *w = Edge { from: w.from + w.along * w.length, along: -w.along, ..*w };
        }
        walls.extend(b.keep_outs.iter().flat_map(|k| edges(k, 0.0)));
        for &(v, at) in &table.fixed[bed] {
            walls.extend(outlines[v].iter().map(|e| Edge { from: e.from + at, ..*e }));
        }
        let size = b.room.bounds();
        let tolerance = FLUSH * size.width().max(size.height());
        let room = b.room.area();
        Self { table, bed, outlines, walls, begun: BTreeMap::new(), tolerance, room }
    }

    fn flush(&self, variant: usize, at: Point, still: &(impl Iterator<Item = Edge> + Clone)) -> f64 {
        let each = |e: &Edge| still.clone().map(|s| flush(*e, at, &s, self.tolerance)).sum::<f64>();
        self.outlines[variant].iter().map(each).sum()
    }

    fn copy(&self, (variant, at): (usize, Point)) -> impl Iterator<Item = Edge> + Clone + '_ {
        self.outlines[variant].iter().map(move |e| Edge { from: e.from + at, ..*e })
    }

    /// Takes in the copies that a filling has gained.
    fn catch_up(&self, variant: usize, spots: &mut Spots, laid: &[(usize, Point)]) {
        spots.field.catch_up(self.table, laid);
        let added = laid.get(spots.seen..).unwrap_or_default();
        let mut old = std::mem::take(&mut spots.marked).into_iter();
        // The field keeps the order of what stays free, and new positions come last.
        for &p in spots.field.free() {
            let mark = if let Some((_, m)) = old.find(|(q, _)| *q == p) {
                m + self.flush(variant, p, &added.iter().flat_map(|&c| self.copy(c)))
            } else {
                let all = laid.iter().flat_map(|&c| self.copy(c));
                self.flush(variant, p, &self.walls.iter().copied()) + self.flush(variant, p, &all)
            };
            spots.marked.push((p, mark));
        }
        spots.seen = laid.len();
    }

    /// The fullest of some fillings of the bed with what is left of each shape.
    pub(in crate::packing) fn fill(
        &mut self,
        left: &[usize],
        tries: usize,
        rng: &mut Rng,
        watch: &dyn Watch<Layout>,
    ) -> Filling {
        let mut best: Filling = (0.0, Vec::new());
        for (variant, v) in self.table.variants.iter().enumerate() {
            if left.get(v.shape).is_some_and(|n| *n > 0)
                && self.table.of_shape[v.shape].contains(&variant)
                && !self.begun.contains_key(&variant)
            {
                let mut spots = Spots { field: Contacts::new(self.table, self.bed, variant), marked: vec![], seen: 0 };
                self.catch_up(variant, &mut spots, &[]);
                self.begun.insert(variant, spots);
            }
        }
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
            let filling = self.filling(left.to_vec(), kept, rng, watch);
            if filling.0 >= best.0 - 1e-9 {
                best = filling;
            }
            if best.0 >= self.room * (1.0 - FULL) {
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
        mut left: Vec<usize>,
        mut laid: Vec<(usize, Point)>,
        rng: &mut Rng,
        watch: &dyn Watch<Layout>,
    ) -> Filling {
        let table = self.table;
        let shape_of = |v: usize| table.variants[v].shape;
        let area = |s: usize| table.bodies[s].true_area;
        let largest = (0..left.len()).filter(|&s| left[s] > 0).map(area).fold(1e-9, f64::max);
        // How much size counts, and how much chance.
        let (power, chance) = (rng.between(0.1, 0.8), rng.between(0.02, 0.25));
        let mut class = Plan::new(table.problem.beds.len()).class(table, self.bed);
        let mut taken = 0.0;
        for &(v, _) in &laid {
            left[shape_of(v)] -= 1;
            taken += area(shape_of(v));
            class = class.or(Some(table.problem.shapes[shape_of(v)].class));
        }
        let mut live = self.begun.clone();
        let fits = |s: usize, class: Option<u32>| {
            table.admits(self.bed, s) && class.is_none_or(|c| c == table.problem.shapes[s].class)
        };
        while !watch.cancelled() {
            let free = self.room - taken;
            live.retain(|v, _| {
                let s = shape_of(*v);
                left[s] > 0 && area(s) <= free * (1.0 + 1e-6) && fits(s, class)
            });
            let mut best: Option<(f64, usize, Point)> = None;
            for (&v, spots) in &mut live {
                self.catch_up(v, spots, &laid);
                let s = shape_of(v);
                let border: f64 = self.outlines[v].iter().map(|e| e.length).sum();
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
            taken += area(s);
            class = class.or(Some(table.problem.shapes[s].class));
            laid.push((v, p));
        }
        (taken, laid)
    }
}

/// Some beds of a plan (`all`: all of them) emptied and filled anew, the last one among them.
pub(in crate::packing) fn refill(
    table: &ZoneTable<'_>,
    best: &Plan,
    all: bool,
    tries: usize,
    rng: &mut Rng,
    watch: &dyn Watch<Layout>,
) -> Option<Plan> {
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
        let (_, laid) = Fitter::new(table, b).fill(&left, tries, rng, watch);
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
