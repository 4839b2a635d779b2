//! Copies of one bed that may overlap while they are parted, and how deep they do.
//!
//! Depth of overlap is the distance of a position from the border of the pair's zone, so nothing is approximated: a heap without depth
//! is a valid bed.

use crate::geom::{Bounds, Point};
use crate::packing::{bodies::contacts::CONTACT_MM, bodies::zone_table::ZoneTable};

/// How weights grow with each sweep: by a factor of `least`, of `least + deep` where the overlap is the deepest; where
/// there is none, by `fading`, to no less than 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct Growth {
    pub(super) least: f64,
    pub(super) deep: f64,
    pub(super) fading: f64,
}

/// Copies of one bed that may overlap while they are parted.
pub(in crate::packing) struct Heap<'a> {
    pub(super) table: &'a ZoneTable<'a>,
    pub(super) bed: usize,
    /// Variant and place of each copy.
    pub(super) spots: Vec<(usize, Point)>,
    /// Nothing of a copy may lie outside this.
    pub(super) limit: Bounds,
    /// Weight and depth of each pair, row by row; `n * n`.
    pub(super) weight: Vec<f64>,
    pub(super) deep: Vec<f64>,
    /// Weight and depth of each copy against what stays: fixed copies, keep-outs, corners of the room.
    pub(super) ground_weight: Vec<f64>,
    pub(super) ground_deep: Vec<f64>,
    /// May a copy go far, and turn?
    pub(super) roams: bool,
    /// May a copy that stays near pass by others to a free place, rather than push them?
    pub(super) passes_by: bool,
    /// How far past a border copies are pushed out, mm.
    pub(super) beyond_mm: f64,
    /// Where copies that stay near began, and how many of the fixed copies have come since: of all else they were clear
    /// there, whatever search outlines, a hair larger than the true ones, make of it.
    pub(super) start: Vec<(usize, Point)>,
    pub(super) come: usize,
}

impl<'a> Heap<'a> {
    /// The free copies of a bed, to be parted within `limit`.
    pub(in crate::packing) fn new(
        table: &'a ZoneTable<'a>,
        bed: usize,
        spots: Vec<(usize, Point)>,
        limit: Bounds,
    ) -> Self {
        let n = spots.len();
        let mut heap = Self {
            table,
            bed,
            spots,
            limit,
            weight: vec![1.0; n * n],
            deep: vec![0.0; n * n],
            ground_weight: vec![1.0; n],
            ground_deep: vec![0.0; n],
            roams: true,
            passes_by: false,
            beyond_mm: 0.0,
            start: Vec::new(),
            come: 0,
        };
        for i in 0..n {
            heap.measure(i);
        }
        heap
    }

    /// No copy turns, and each looks for room near where it lies. Where they lie now they are clear of one another and
    /// of all that stays but the first `come` fixed copies.
    pub(in crate::packing) fn staying_near(mut self, come: usize) -> Self {
        self.roams = false;
        self.start = self.spots.clone();
        self.come = come;
        for i in 0..self.spots.len() {
            self.measure(i);
        }
        self
    }

    /// Copies go past others to a free place where one is near, rather than push them.
    pub(in crate::packing) fn passing_by(mut self) -> Self {
        self.passes_by = true;
        self
    }

    /// Has it not moved?
    pub(super) fn rests(&self, i: usize) -> bool {
        self.start.get(i).is_some_and(|s| *s == self.spots[i])
    }

    pub(in crate::packing) fn spots(&self) -> &[(usize, Point)] {
        &self.spots
    }

    /// Would copy `i` be free there, the others lying as in `spots`?
    pub(in crate::packing) fn free(&self, spots: &[(usize, Point)], i: usize, (v, p): (usize, Point)) -> bool {
        self.ground(v, p) <= 0.0
            && spots.iter().enumerate().all(|(j, &(w, q))| {
                j == i || !self.table.near((v, p), (w, q)) || !self.table.pair(w, v).blocks(p - q, CONTACT_MM)
            })
    }

    pub(in crate::packing) fn into_spots(self) -> Vec<(usize, Point)> {
        self.spots
    }

    pub(super) fn loss_of(&self, i: usize) -> f64 {
        let n = self.spots.len();
        self.ground_deep[i] + self.deep[i * n..(i + 1) * n].iter().sum::<f64>()
    }

    pub(super) fn loss(&self) -> f64 {
        0.5 * self.deep.iter().sum::<f64>() + self.ground_deep.iter().sum::<f64>()
    }

    /// Depths of a copy where it lies.
    pub(super) fn measure(&mut self, i: usize) {
        let n = self.spots.len();
        let (v, p) = self.spots[i];
        let rests = self.rests(i);
        self.ground_deep[i] = if rests { self.fixed_depth(v, p, self.come) } else { self.ground(v, p) };
        for j in (0..n).filter(|&j| j != i) {
            let (w, q) = self.spots[j];
            let near = self.table.near((v, p), (w, q)) && !(rests && self.rests(j));
            let d = if near { self.table.pair(w, v).depth(p - q, CONTACT_MM) } else { 0.0 };
            self.deep[i * n + j] = d;
            self.deep[j * n + i] = d;
        }
    }

    /// Overlaps that last weigh more and more, those that are gone less and less.
    pub(super) fn raise_weights(&mut self, by: Growth) {
        let most = self.deep.iter().chain(&self.ground_deep).copied().fold(0.0, f64::max);
        if most <= 0.0 {
            return;
        }
        let pairs = self.weight.iter_mut().zip(&self.deep);
        for (w, d) in pairs.chain(self.ground_weight.iter_mut().zip(&self.ground_deep)) {
            *w = if *d > 0.0 { (*w * (by.least + by.deep * d / most)).min(1e9) } else { (*w * by.fading).max(1.0) };
        }
    }

    /// Depth against what stays; infinite outside the room or the limit.
    pub(super) fn ground(&self, v: usize, p: Point) -> f64 {
        let inner_fit = self.table.inner_fit(self.bed, v);
        let own = self.table.variants[v].bounds.moved(p);
        let limit = self.limit.grown(1e-9);
        if !limit.contains(own.min) || !limit.contains(own.max) {
            return f64::INFINITY;
        }
        let within = inner_fit.sites.iter().filter(|s| s.within_walls(p, CONTACT_MM));
        let blocked =
            within.map(|s| s.blocks.iter().map(|z| z.depth(p, CONTACT_MM)).sum::<f64>()).fold(f64::INFINITY, f64::min);
        let keep_outs: f64 = inner_fit.keep_outs.iter().map(|z| z.depth(p, CONTACT_MM)).sum();
        blocked + keep_outs + self.fixed_depth(v, p, usize::MAX)
    }

    /// Depth against the first `most` fixed copies.
    pub(super) fn fixed_depth(&self, v: usize, p: Point, most: usize) -> f64 {
        let fixed = self.table.fixed[self.bed].iter().take(most).filter(|&&other| self.table.near((v, p), other));
        fixed.map(|&(w, q)| self.table.pair(w, v).depth(p - q, CONTACT_MM)).sum()
    }
}
