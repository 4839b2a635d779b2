//! A tree over the edges of a region, for distances between placed regions.

use super::{Bounds, Placement, Point, Region};

/// Edges in one leaf. Measured: 2 to 8 differ little.
const LEAF: usize = 4;

/// Edges with a tree of boxes over runs of successive edges: neighbours along a border are near each other, so the
/// runs need no sorting.
#[derive(Debug, Clone)]
pub(super) struct EdgeTree {
    edges: Vec<(Point, Point)>,
    /// Heap order: node 1 is the root, the children of node i are 2 i and 2 i + 1; the last `leaves` are leaves.
    boxes: Vec<Bounds>,
    leaves: usize,
}

/// A rigid move with its cosine and sine at hand.
#[derive(Clone, Copy)]
struct Move {
    cos: f64,
    sin: f64,
    by: Point,
}

impl Move {
    /// What lies at `other_at`, seen from the frame of `at`. Quarter turns stay exact.
    fn between(at: Placement, other_at: Placement) -> Self {
        let ((c, s), (oc, os)) = (at.cos_sin(), other_at.cos_sin());
        Self { cos: c * oc + s * os, sin: c * os - s * oc, by: at.unapply(other_at.origin()) }
    }
    fn point(self, p: Point) -> Point {
        Point::new(p.x * self.cos - p.y * self.sin + self.by.x, p.x * self.sin + p.y * self.cos + self.by.y)
    }
    fn bounds(self, b: Bounds) -> Bounds {
        if b.is_empty() {
            return b;
        }
        let (c, h) = (self.point(b.centre()), Point::new(b.width() / 2.0, b.height() / 2.0));
        let (cos, sin) = (self.cos.abs(), self.sin.abs());
        let h = Point::new(cos * h.x + sin * h.y, sin * h.x + cos * h.y);
        Bounds::new(c - h, c + h)
    }
}

fn gap_squared(a: Bounds, b: Bounds) -> f64 {
    let dx = (b.min.x - a.max.x).max(a.min.x - b.max.x).max(0.0);
    let dy = (b.min.y - a.max.y).max(a.min.y - b.max.y).max(0.0);
    dx * dx + dy * dy
}

impl EdgeTree {
    pub(super) fn new(region: &Region) -> Self {
        let edges: Vec<(Point, Point)> = region.edges().collect();
        let leaves = edges.len().div_ceil(LEAF).next_power_of_two();
        let mut boxes = vec![Bounds::EMPTY; 2 * leaves];
        for (i, run) in edges.chunks(LEAF).enumerate() {
            boxes[leaves + i] = Bounds::of(run.iter().flat_map(|e| [e.0, e.1]));
        }
        for i in (1..leaves).rev() {
            boxes[i] = boxes[2 * i].union(boxes[2 * i + 1]);
        }
        Self { edges, boxes, leaves }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.edges.is_empty()
    }

    fn run(&self, leaf: usize) -> &[(Point, Point)] {
        let first = (leaf - self.leaves) * LEAF;
        &self.edges[first.min(self.edges.len())..(first + LEAF).min(self.edges.len())]
    }

    /// Least distance between the two placed borders if it is under `limit`, else `limit`. Stops early with any
    /// distance found at or under `enough`.
    pub(super) fn nearest(&self, at: Placement, other: &Self, other_at: Placement, limit: f64, enough: f64) -> f64 {
        let moved = Move::between(at, other_at);
        let (mut best, enough) = (limit * limit, enough * enough);
        let mut stack = Vec::with_capacity(64);
        let start = gap_squared(self.boxes[1], moved.bounds(other.boxes[1]));
        stack.push((start, 1_usize, 1_usize));
        while let Some((least, a, b)) = stack.pop() {
            if least >= best {
                continue;
            }
            match (a >= self.leaves, b >= other.leaves) {
                (true, true) => {
                    for &(p, q) in other.run(b) {
                        let (p, q) = (moved.point(p), moved.point(q));
                        let edge_box = Bounds::of([p, q]);
                        if gap_squared(self.boxes[a], edge_box) >= best {
                            continue;
                        }
                        for &(u, v) in self.run(a) {
                            best = best.min(segments_squared(u, v, p, q));
                        }
                    }
                    if best <= enough {
                        break;
                    }
                }
                (a_is_leaf, b_is_leaf) => {
                    let size = |t: &Self, i: usize| t.boxes[i].width() + t.boxes[i].height();
                    let split_a = !a_is_leaf && (b_is_leaf || size(self, a) >= size(other, b));
                    let children = if split_a { [(2 * a, b), (2 * a + 1, b)] } else { [(a, 2 * b), (a, 2 * b + 1)] };
                    let mut next =
                        children.map(|(a, b)| (gap_squared(self.boxes[a], moved.bounds(other.boxes[b])), a, b));
                    // The nearer one last, so that it is looked at first.
                    if next[0].0 < next[1].0 {
                        next.swap(0, 1);
                    }
                    stack.extend(next.into_iter().filter(|n| n.0 < best));
                }
            }
        }
        if best >= limit * limit { limit } else { best.sqrt() }
    }

    /// Distance of a point from the border; infinite where there is none.
    pub(super) fn point_distance(&self, p: Point) -> f64 {
        let (mut best, mut stack) = (f64::INFINITY, vec![1_usize]);
        let here = Bounds::new(p, p);
        while let Some(i) = stack.pop() {
            if gap_squared(self.boxes[i], here) >= best {
                continue;
            }
            if i >= self.leaves {
                best = self.run(i).iter().fold(best, |m, &(a, b)| m.min(point_squared(p, a, b)));
            } else {
                let near = |i: usize| gap_squared(self.boxes[i], here);
                let (l, r) = (2 * i, 2 * i + 1);
                stack.extend(if near(l) < near(r) { [r, l] } else { [l, r] });
            }
        }
        best.sqrt()
    }

    /// True when `p` lies inside (even-odd rule; on the border either answer may come).
    pub(super) fn contains(&self, p: Point) -> bool {
        let (mut inside, mut stack) = (false, vec![1_usize]);
        while let Some(i) = stack.pop() {
            let b = self.boxes[i];
            if b.is_empty() || p.y < b.min.y || p.y > b.max.y || p.x > b.max.x {
                continue;
            }
            if i < self.leaves {
                stack.extend([2 * i, 2 * i + 1]);
                continue;
            }
            for &(a, b) in self.run(i) {
                if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x) {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

/// Squared distance of `p` from the segment a–b.
fn point_squared(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let l = d.length_squared();
    let t = if l > 0.0 { ((p - a).dot(d) / l).clamp(0.0, 1.0) } else { 0.0 };
    (a + d * t - p).length_squared()
}

/// Squared distance of the segments a–b and p–q; 0 where they cross.
fn segments_squared(a: Point, b: Point, p: Point, q: Point) -> f64 {
    let (d, e) = (b - a, q - p);
    if d.cross(p - a) * d.cross(q - a) < 0.0 && e.cross(a - p) * e.cross(b - p) < 0.0 {
        return 0.0;
    }
    point_squared(a, p, q).min(point_squared(b, p, q)).min(point_squared(p, a, b)).min(point_squared(q, a, b))
}
