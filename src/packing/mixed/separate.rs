//! The separating move: copies may overlap for a while, and are parted by moving one at a time to where it overlaps
//! least, overlaps that last weighing more and more.
//!
//! Sources: guided local search on no-fit polygons, Umetani et al. 2009; weights and strikes after Gardeyn et al. 2025 (arXiv
//! 2509.13329).

use std::f64::consts::TAU;

use super::{
    around::{Around, Candidate},
    heap::{Growth, Heap},
};
use crate::{geom::Point, watch::Watch};
use crate::{packing::Layout, rng::Rng};

/// Arrangements kept to be taken up again.
const POOL: usize = 8;

/// Ways past what stays, evenly round the circle.
const DIRECTIONS: u32 = 16;
/// Steps along them are at least this, mm.
const LEAST_STEP_MM: f64 = 0.02;
/// How far a copy looks for a free place past others, in its sizes, and steps a size.
const PAST: f64 = 3.0;
const STEPS_A_SIZE: f64 = 12.0;
/// After this many sweeps copies are pushed out farther than need be, mm, every other sweep.
const SOON: usize = 4;
const BEYOND_MM: f64 = 0.05;

/// Measured on `strips.json`: faster growth (1.2 + 0.8 as published, fading 0.95) keeps the copies moving about at an
/// overlap that no longer falls; ten times as slow takes as long in the end.
const SLOWLY: Growth = Growth { least: 1.05, deep: 0.2, fading: 0.98 };
/// While a person waits for copies to make room.
const QUICKLY: Growth = Growth { least: 1.2, deep: 0.8, fading: 0.95 };

/// How long an attempt goes on.
#[derive(Debug, Clone, Copy)]
pub(in crate::packing) struct SeparationEffort {
    /// Sweeps without less overlap before a strike.
    pub(in crate::packing) stale: usize,
    /// Strikes before it is given up.
    pub(in crate::packing) strikes: usize,
}

impl Heap<'_> {
    /// Adds a copy of a shape where it overlaps least of many places. False where the bed has no place for it at all.
    pub(in crate::packing) fn insert(&mut self, shape: usize, rng: &mut Rng) -> bool {
        let n = self.spots.len();
        let inner_fit = |v: usize| !self.table.inner_fit(self.bed, v).sites.is_empty();
        let Some(&v) = self.table.of_shape[shape].iter().find(|&&v| inner_fit(v)) else { return false };
        let wider = |old: &[f64], fill: f64| {
            let mut new = vec![fill; (n + 1) * (n + 1)];
            for i in 0..n {
                new[i * (n + 1)..i * (n + 1) + n].copy_from_slice(&old[i * n..(i + 1) * n]);
            }
            new
        };
        self.weight = wider(&self.weight, 1.0);
        self.deep = wider(&self.deep, 0.0);
        self.ground_weight.push(1.0);
        self.ground_deep.push(0.0);
        let at = self.table.inner_fit(self.bed, v).sites[0].bounds.centre();
        self.spots.push((v, at));
        let found = self.search(n, (f64::INFINITY, v, at), 120, 0, rng);
        if !found.0.is_finite() {
            return false;
        }
        self.spots[n] = (found.1, found.2);
        self.measure(n);
        true
    }

    /// Parts the copies by small moves: those first that have not moved for longest, of these the deepest. True when
    /// none overlaps any more.
    pub(in crate::packing) fn nudge(&mut self, sweeps: usize, rng: &mut Rng, watch: &dyn Watch<Layout>) -> bool {
        let mut moved = vec![0; self.spots.len()];
        for sweep in 1..=sweeps {
            let mut order: Vec<usize> = (0..self.spots.len()).filter(|&i| self.loss_of(i) > 0.0).collect();
            if order.is_empty() {
                return true;
            }
            let deeper = |a: usize, b: usize| self.loss_of(b).total_cmp(&self.loss_of(a)).then(a.cmp(&b));
            order.sort_by(|&a, &b| moved[a].cmp(&moved[b]).then_with(|| deeper(a, b)));
            // Copies that squeeze each other by turns come nearer to being free with each sweep and never are; those
            // that fit exactly must not be pushed farther.
            self.beyond_mm = if sweep > SOON && sweep % 2 == 0 { BEYOND_MM } else { 0.0 };
            for i in order {
                if watch.cancelled() {
                    return false;
                }
                let before = self.spots[i];
                if self.loss_of(i) > 0.0 {
                    self.relocate(i, rng);
                }
                if self.spots[i] != before {
                    moved[i] = sweep;
                }
            }
            self.raise_weights(QUICKLY);
            // What stays never gives way, however often copies were in each other's.
            let most = self.weight.iter().copied().fold(1.0, f64::max);
            self.ground_weight.iter_mut().for_each(|w| *w = w.max(4.0 * most));
        }
        self.loss() <= 0.0
    }

    /// Parts the copies. True when none overlaps any more.
    ///
    /// Where it goes on no longer, one of the arrangements with least overlap so far is taken up again, two copies
    /// trading places.
    pub(in crate::packing) fn part(
        &mut self,
        effort: SeparationEffort,
        rng: &mut Rng,
        watch: &dyn Watch<Layout>,
    ) -> bool {
        let n = self.spots.len();
        let mut least = self.loss();
        let mut kept = self.spots.clone();
        let mut pool: Vec<(f64, Vec<(usize, Point)>)> = Vec::new();
        let (mut stale, mut strikes) = (0, 0);
        while least > 0.0 {
            let mut order: Vec<usize> = (0..n).filter(|&i| self.loss_of(i) > 0.0).collect();
            for k in (1..order.len()).rev() {
                order.swap(k, rng.below(k + 1));
            }
            for i in order {
                if watch.cancelled() {
                    return false;
                }
                if self.loss_of(i) > 0.0 {
                    self.relocate(i, rng);
                }
            }
            let loss = self.loss();
            stale = if loss < 0.98 * least { 0 } else { stale + 1 };
            if loss < least {
                least = loss;
                kept.clone_from(&self.spots);
            }
            if stale > effort.stale {
                strikes += 1;
                if strikes > effort.strikes {
                    return false;
                }
                stale = 0;
                let at = pool.partition_point(|(l, _)| *l < least);
                pool.insert(at, (least, std::mem::take(&mut kept)));
                pool.truncate(POOL);
                // The best most often.
                let pick = (rng.unit() * rng.unit() * pool.len() as f64) as usize;
                self.spots.clone_from(&pool[pick].1);
                self.disturb(rng);
                least = self.loss();
                kept.clone_from(&self.spots);
            }
            self.raise_weights(SLOWLY);
        }
        true
    }

    /// Two copies trade places; the weights start anew. Two of the larger half, of different shapes where there are: small
    /// ones find their own way, and equal ones change nothing.
    fn disturb(&mut self, rng: &mut Rng) {
        let n = self.spots.len();
        self.weight.fill(1.0);
        self.ground_weight.fill(1.0);
        if n >= 2 {
            let shape = |k: usize| self.table.variants[self.spots[k].0].shape;
            let area = |k: usize| self.table.bodies[shape(k)].true_area;
            let mut large: Vec<usize> = (0..n).collect();
            large.sort_by(|&a, &b| area(b).total_cmp(&area(a)));
            large.truncate((n / 2).max(2));
            let i = large.swap_remove(rng.below(large.len()));
            let other: Vec<usize> = large.iter().copied().filter(|&k| shape(k) != shape(i)).collect();
            let among = if other.is_empty() { &large } else { &other };
            let j = among[rng.below(among.len())];
            let middle = |s: &Self, k: usize| s.spots[k].1 + s.table.variants[s.spots[k].0].bounds.centre();
            let (a, b) = (middle(self, i), middle(self, j));
            self.spots[i].1 += b - a;
            self.spots[j].1 += a - b;
        }
        for i in 0..n {
            self.measure(i);
        }
        // What lies outside its inner fit now is put back inside.
        for i in 0..n {
            if !self.ground_deep[i].is_finite() {
                let (v, at) = self.spots[i];
                let found = self.search(i, (f64::INFINITY, v, at), 30, 0, rng);
                if found.0.is_finite() {
                    self.spots[i] = (found.1, found.2);
                    self.measure(i);
                }
            }
        }
    }

    fn relocate(&mut self, i: usize, rng: &mut Rng) {
        let (v, p) = self.spots[i];
        let mut around = Around::new(self, i);
        let now = around.cost(v, p, f64::INFINITY, true);
        if !self.roams {
            // Of ways out that are as good, the shortest.
            let mut ways = around.ways_out(v, p);
            // Caught between things that stay: out of all of them, whichever way.
            if ways.iter().all(|&q| self.ground(v, q) > 0.0) {
                ways.extend(self.ways_past(v, p));
            }
            let worth = |q: Point, cost: f64| cost + 1e-3 * q.distance(p);
            let mut best_of = |ways: Vec<Point>| {
                let costs = ways.into_iter().map(|q| (q, around.cost(v, q, f64::INFINITY, true)));
                costs.filter(|c| c.1 < now).min_by(|a, b| worth(a.0, a.1).total_cmp(&worth(b.0, b.1)))
            };
            let farther = match self.beyond_mm {
                beyond if beyond > 0.0 => best_of(ways.iter().map(|&q| q + (q - p).normalized() * beyond).collect()),
                _ => None,
            };
            let mut best = best_of(ways);
            if self.passes_by && best.is_none_or(|b| b.1 > 0.0) {
                best = self.free_place(&mut around, v, p).map(|q| (q, 0.0)).or(best);
            }
            if let Some((q, _)) = farther.filter(|f| best.is_none_or(|b| f.1 <= b.1)).or(best) {
                self.spots[i].1 = q;
                self.measure(i);
                return;
            }
        }
        let found = self.search(i, (now, v, p), if self.roams { 24 } else { 0 }, 12, rng);
        if found.0 < now {
            self.spots[i] = (found.1, found.2);
            self.measure(i);
        }
    }

    /// The nearest place off what stays, in each of several directions.
    fn ways_past(&self, v: usize, p: Point) -> impl Iterator<Item = Point> {
        (0..DIRECTIONS).filter_map(move |k| {
            let d = Point::new(1.0, 0.0).turned(TAU * (f64::from(k) + 0.5) / f64::from(DIRECTIONS));
            let mut at = p;
            loop {
                // How deep it is bounds how far it is to the border.
                match self.ground(v, at) {
                    depth if depth <= 0.0 => return Some(at),
                    depth if depth.is_finite() => at += d * (0.25 * depth).max(LEAST_STEP_MM),
                    _ => return None, // off the bed
                }
            }
        })
    }

    /// The nearest place clear of everything in each of several directions, of these the nearest;
    /// none farther than [`PAST`] times its size.
    fn free_place(&self, around: &mut Around<'_, '_>, v: usize, p: Point) -> Option<Point> {
        let own = self.table.variants[v].bounds;
        let size = own.width().max(own.height());
        let step = size / STEPS_A_SIZE;
        let mut free = |q: Point| around.cost(v, q, f64::INFINITY, true) <= 0.0;
        let mut least = PAST * size;
        let mut best = None;
        for k in 0..DIRECTIONS {
            let d = Point::new(1.0, 0.0).turned(TAU * f64::from(k) / f64::from(DIRECTIONS));
            let mut far = step;
            while far < least && !free(p + d * far) {
                far += step;
            }
            if far >= least {
                continue;
            }
            let (mut bad, mut good) = ((far - step).max(0.0), far);
            while good - bad > LEAST_STEP_MM {
                let middle = f64::midpoint(bad, good);
                if free(p + d * middle) { good = middle } else { bad = middle }
            }
            if good < least {
                least = good;
                best = Some(p + d * good);
            }
        }
        best
    }

    /// The best place of some anywhere and some near, each made finer.
    fn search(&self, i: usize, now: Candidate, anywhere: usize, near: usize, rng: &mut Rng) -> Candidate {
        let shape = self.table.variants[now.1].shape;
        let turns = &self.table.of_shape[shape];
        let own = self.table.variants[now.1].bounds;
        let size = own.width().min(own.height());
        let mut around = Around::new(self, i);
        let mut best: [Candidate; 3] = [now, (f64::INFINITY, now.1, now.2), (f64::INFINITY, now.1, now.2)];
        let mut offer = |around: &mut Around<'_, '_>, v: usize, p: Point| {
            let c = around.cost(v, p, best[2].0, false);
            if c < best[2].0 {
                best[2] = (c, v, p);
                best.sort_by(|a, b| a.0.total_cmp(&b.0));
            }
        };
        if near > 0 {
            for q in around.ways_out(now.1, now.2) {
                offer(&mut around, now.1, q);
            }
        }
        for k in 0..near {
            let v = if self.roams && k % 3 == 2 { turns[rng.below(turns.len())] } else { now.1 };
            let middle = self.table.variants[now.1].bounds.centre() - self.table.variants[v].bounds.centre();
            let by = Point::new(rng.between(-1.0, 1.0), rng.between(-1.0, 1.0)) * (0.5 * size);
            offer(&mut around, v, now.2 + middle + by);
        }
        for _ in 0..anywhere {
            let v = turns[rng.below(turns.len())];
            if let Some(p) = self.somewhere(v, rng) {
                offer(&mut around, v, p);
            }
        }
        let mut done = now;
        for c in best {
            if c.0.is_finite() {
                let c = around.finer(c, size, rng);
                if c.0 < done.0 {
                    done = c;
                }
                if done.0 <= 0.0 {
                    break;
                }
            }
        }
        done
    }

    /// A random place in the room.
    fn somewhere(&self, v: usize, rng: &mut Rng) -> Option<Point> {
        let inner_fit = self.table.inner_fit(self.bed, v);
        let site = match inner_fit.sites.len() {
            0 => return None,
            n => &inner_fit.sites[rng.below(n)],
        };
        let own = self.table.variants[v].bounds;
        let (a, b) = (self.limit.min - own.min, self.limit.max - own.max);
        let pick = |rng: &mut Rng, low: f64, high: f64| {
            (low <= high + 1e-9).then(|| if high > low { rng.between(low, high) } else { high })
        };
        let x = pick(rng, site.bounds.min.x.max(a.x), site.bounds.max.x.min(b.x))?;
        let y = pick(rng, site.bounds.min.y.max(a.y), site.bounds.max.y.min(b.y))?;
        Some(Point::new(x, y))
    }
}
