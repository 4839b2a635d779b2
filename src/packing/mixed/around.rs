//! All other copies as one that moves sees them: what a place costs, and the ways out of what it overlaps.

use super::heap::Heap;
use crate::geom::{Bounds, Point};
use crate::{
    packing::{bodies::contacts::CONTACT_MM, bodies::zone::Zone},
    rng::Rng,
};

/// Ways out looked at, and borders whose crossings are.
const MOST_WAYS: usize = 12;
const MOST_BORDERS: usize = 4;
/// Crossings may be so many times as far as the farthest of the borders.
const FARTHEST_CROSSING: f64 = 3.0;

/// A copy's candidate place and its weighted depth.
pub(super) type Candidate = (f64, usize, Point);

/// Another copy as one that moves sees it.
struct Other<'a> {
    zone: &'a Zone,
    at: Point,
    /// Of the zone, where the other lies.
    bounds: Bounds,
    weight: f64,
}

/// All other copies as one that moves sees them, by its variant.
pub(super) struct Around<'h, 'a> {
    heap: &'h Heap<'a>,
    copy: usize,
    /// Its first variant.
    first: usize,
    others: Vec<Vec<Other<'a>>>,
}

impl<'h, 'a> Around<'h, 'a> {
    pub(super) fn new(heap: &'h Heap<'a>, copy: usize) -> Self {
        let turns = &heap.table.of_shape[heap.table.variants[heap.spots[copy].0].shape];
        let others = turns.iter().map(|_| Vec::new()).collect();
        Self { heap, copy, first: turns.first().copied().unwrap_or(0), others }
    }

    fn others(&mut self, v: usize) -> &[Other<'a>] {
        let (heap, i) = (self.heap, self.copy);
        let n = heap.spots.len();
        let row = &mut self.others[v - self.first];
        if row.is_empty() {
            let here = heap.table.variants[v].bounds.moved(heap.spots[i].1);
            let about = here.grown(here.width() + here.height());
            let reached = |j: usize| {
                let (w, at) = heap.spots[j];
                heap.roams || about.overlaps(heap.table.variants[w].bounds.moved(at))
            };
            row.extend((0..n).filter(|&j| j != i && reached(j)).map(|j| {
                let (w, at) = heap.spots[j];
                let zone: &Zone = heap.table.pair(w, v);
                Other { zone, at, bounds: zone.bounds().moved(at), weight: heap.weight[i * n + j] }
            }));
        }
        row
    }

    /// Weighted depth of the copy at a place, exact or roughly; at least `bound` where it is given up early.
    pub(super) fn cost(&mut self, v: usize, p: Point, bound: f64, exact: bool) -> f64 {
        let mut sum = self.heap.ground_weight[self.copy] * self.heap.ground(v, p);
        if sum >= bound {
            return sum;
        }
        for o in self.others(v) {
            if o.bounds.contains(p) {
                let d = p - o.at;
                sum += o.weight * if exact { o.zone.depth(d, CONTACT_MM) } else { o.zone.rough_depth(d) };
                if sum >= bound {
                    return sum;
                }
            }
        }
        sum
    }

    /// Steps along changing directions, then onto the borders of what it still overlaps.
    pub(super) fn finer(&mut self, mut c: Candidate, size: f64, rng: &mut Rng) -> Candidate {
        const D: f64 = std::f64::consts::FRAC_1_SQRT_2;
        const WAYS: [[f64; 2]; 4] = [[1.0, 0.0], [0.0, 1.0], [D, D], [D, -D]];
        c.0 = self.cost(c.1, c.2, f64::INFINITY, false);
        let mut step = 0.25 * size;
        while step > 1e-2 * size && c.0 > 0.0 {
            let d = Point::from(WAYS[rng.below(4)]) * step;
            let mut moved = false;
            for q in [c.2 + d, c.2 - d] {
                let cost = self.cost(c.1, q, c.0, false);
                if cost < c.0 {
                    c = (cost, c.1, q);
                    moved = true;
                    break;
                }
            }
            step *= if moved { 1.1 } else { 0.5 };
        }
        c.0 = self.cost(c.1, c.2, f64::INFINITY, true);
        for _ in 0..4 {
            if c.0 <= 0.0 {
                break;
            }
            let before = c.0;
            for q in self.ways_out(c.1, c.2) {
                let cost = self.cost(c.1, q, c.0, true);
                if cost < c.0 {
                    c = (cost, c.1, q);
                }
            }
            if c.0 >= before {
                break;
            }
        }
        c
    }

    /// The nearest places out of each thing that the copy overlaps; where it may go far, those where the borders there
    /// cross too: in contact with two at once.
    pub(super) fn ways_out(&mut self, v: usize, p: Point) -> Vec<Point> {
        let heap = self.heap;
        let out_of = |zone: &Zone, at: Point| zone.way_out(p - at).map(|(e, along)| (at + e, along));
        let mut borders: Vec<(Point, Point)> =
            self.others(v).iter().filter(|o| o.bounds.contains(p)).filter_map(|o| out_of(o.zone, o.at)).collect();
        for &(w, q) in heap.table.fixed[heap.bed].iter().filter(|&&other| heap.table.near((v, p), other)) {
            borders.extend(out_of(heap.table.pair(w, v), q));
        }
        let inner_fit = heap.table.inner_fit(heap.bed, v);
        let zones = inner_fit.keep_outs.iter().chain(inner_fit.sites.iter().flat_map(|s| &s.blocks));
        borders.extend(zones.filter_map(|z| out_of(z, Point::default())));
        let mut out: Vec<Point> = borders.iter().map(|b| b.0).take(MOST_WAYS).collect();
        if !heap.roams {
            return out; // crossings may lie beyond a neighbour
        }
        // Walls are no ways out, but it may go along them.
        let own = heap.table.variants[v].bounds;
        let near = 0.25 * own.width().min(own.height());
        for &(normal, least) in inner_fit.sites.iter().flat_map(|s| &s.walls) {
            let gap = normal.dot(p) - least;
            if gap < near {
                borders.push((p - normal * gap, normal.perpendicular()));
            }
        }
        // Of the deepest.
        borders.sort_by(|a, b| (b.0 - p).length_squared().total_cmp(&(a.0 - p).length_squared()));
        borders.truncate(MOST_BORDERS);
        let farthest = borders.first().map_or(0.0, |b| FARTHEST_CROSSING * b.0.distance(p));
        for (i, &(a, d)) in borders.iter().enumerate() {
            for &(b, e) in &borders[..i] {
                let den = d.cross(e);
                if den * den > 1e-6 * d.length_squared() * e.length_squared() {
                    let q = a + d * ((b - a).cross(e) / den);
                    if q.distance(p) < farthest {
                        out.push(q);
                    }
                }
            }
        }
        out
    }
}
