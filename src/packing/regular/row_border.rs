//! A border seen from rows: how high and how far to the right it reaches at a place.

use crate::geom::{Bounds, Point, Region};

/// A border seen from rows.
#[derive(Debug)]
pub(super) struct RowBorder {
    pub(super) edges: Vec<(Point, Point)>,
    pub(super) reach: Bounds,
    /// Upper edges by where they lie along x, right-hand ones by where they lie along y.
    upper: Slots,
    outer: Slots,
}

/// What lies where along a line, in equal slots.
#[derive(Debug)]
struct Slots {
    from: f64,
    each: f64,
    held: Vec<Vec<(Point, Point)>>,
}

const STRICT: f64 = 1e-10;

impl Slots {
    /// Edges with the two ends of each along the line.
    fn new(edges: &[(Point, Point)], span: impl Fn(&(Point, Point)) -> [f64; 2]) -> Self {
        let ends = || edges.iter().flat_map(&span);
        let (from, to) = (ends().fold(f64::INFINITY, f64::min), ends().fold(f64::NEG_INFINITY, f64::max));
        let count = edges.len().clamp(1, 256);
        let each = ((to - from) / count as f64).max(1e-6);
        let mut slots = Self { from, each, held: vec![Vec::new(); count] };
        for e in edges {
            let [low, high] = span(e);
            for k in slots.at(low - STRICT)..=slots.at(high + STRICT) {
                slots.held[k].push(*e);
            }
        }
        slots
    }
    fn at(&self, v: f64) -> usize {
        (((v - self.from) / self.each) as usize).min(self.held.len() - 1)
    }
    fn near(&self, v: f64) -> &[(Point, Point)] {
        &self.held[self.at(v)]
    }
}

impl RowBorder {
    pub(super) fn new(region: &Region) -> Self {
        let edges: Vec<(Point, Point)> = region.edges().collect();
        let kept = |keep: fn(&(Point, Point)) -> bool| edges.iter().copied().filter(keep).collect::<Vec<_>>();
        Self {
            // The upper border runs towards −x, the inside on its left; the right-hand one towards +y.
            upper: Slots::new(&kept(|(a, b)| b.x < a.x), |(a, b)| [b.x, a.x]),
            outer: Slots::new(&kept(|(a, b)| a.y < b.y), |(a, b)| [a.y, b.y]),
            reach: Bounds::of(edges.iter().map(|e| e.0)),
            edges,
        }
    }
    /// Highest border point above x, of the open inside: at a step the lower side counts. −∞ where x only touches.
    pub(super) fn top(&self, x: f64) -> f64 {
        let mut top = [f64::NEG_INFINITY; 2];
        for &(a, b) in self.upper.near(x) {
            if x < b.x - STRICT || x > a.x + STRICT {
                continue;
            }
            let y = a.y + (b.y - a.y) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0);
            for (side, x) in top.iter_mut().zip([x - STRICT, x + STRICT]) {
                if b.x <= x && x <= a.x {
                    *side = side.max(y);
                }
            }
        }
        top[0].min(top[1])
    }
    /// Furthest border point to the right at y, likewise.
    pub(super) fn right(&self, y: f64) -> f64 {
        let mut right = [f64::NEG_INFINITY; 2];
        for &(a, b) in self.outer.near(y) {
            if y < a.y - STRICT || y > b.y + STRICT {
                continue;
            }
            let x = a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)).clamp(0.0, 1.0);
            for (side, y) in right.iter_mut().zip([y - STRICT, y + STRICT]) {
                if a.y <= y && y <= b.y {
                    *side = side.max(x);
                }
            }
        }
        right[0].min(right[1])
    }
}
