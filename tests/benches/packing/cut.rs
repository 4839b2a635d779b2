//! Tasks whose optimum is known because their pieces are cut from a filled rectangle, along curves of many corners.

use std::f64::consts::{PI, TAU};

use stonehand::{
    geom::{Point, Polygon},
    packing::{Aim, Problem, Shape},
};

use crate::table::{bed, plain, problem, rectangle};

/// A rectangle cut up.
pub(crate) struct Cut {
    pub(crate) name: &'static str,
    /// Pieces across and up.
    across: usize,
    up: usize,
    /// Size of a piece, mm, before its borders are bent.
    size: [f64; 2],
    /// Corners of a bent border, and how far it is bent.
    corners: usize,
    bend_mm: f64,
    /// Are borders between rows bent too?
    both: bool,
    /// One wave or two on a border, by its number: more kinds.
    mixed: bool,
}

/// Pieces of 3, 9 and many kinds, of 40 to 240 corners.
pub(crate) const CUTS: [Cut; 5] = [
    Cut {
        name: "cut 3 kinds, 80 corners",
        across: 6,
        up: 4,
        size: [30.0, 34.0],
        corners: 40,
        bend_mm: 5.0,
        both: false,
        mixed: false,
    },
    Cut {
        name: "cut 3 kinds, 200 corners",
        across: 6,
        up: 4,
        size: [30.0, 34.0],
        corners: 100,
        bend_mm: 5.0,
        both: false,
        mixed: false,
    },
    Cut {
        name: "cut 4 kinds, 120 corners",
        across: 5,
        up: 4,
        size: [34.0, 34.0],
        corners: 60,
        bend_mm: 7.0,
        both: false,
        mixed: true,
    },
    Cut {
        name: "cut 9 kinds, 160 corners",
        across: 5,
        up: 4,
        size: [34.0, 34.0],
        corners: 40,
        bend_mm: 4.0,
        both: true,
        mixed: false,
    },
    Cut {
        name: "cut 20 kinds, 240 corners",
        across: 5,
        up: 4,
        size: [34.0, 34.0],
        corners: 60,
        bend_mm: 4.0,
        both: true,
        mixed: true,
    },
];

impl Cut {
    /// How far a border is bent at a share of its length, nothing at its ends.
    fn bent(&self, number: usize, share: f64) -> f64 {
        let waves = if self.mixed && number % 2 == 1 { 2.0 } else { 1.0 };
        self.bend_mm * (waves * TAU * share).sin() * (PI * share).sin()
    }
    /// A border from one corner of the grid to the next, the last point left out.
    fn border(&self, from: [usize; 2], upright: bool) -> Vec<Point> {
        let at = |i: usize, k: usize| Point::new(self.size[0] * i as f64, self.size[1] * k as f64);
        let a = at(from[0], from[1]);
        let b = if upright { at(from[0], from[1] + 1) } else { at(from[0] + 1, from[1]) };
        let outer = if upright { from[0] == 0 || from[0] == self.across } else { from[1] == 0 || from[1] == self.up };
        if outer || !(upright || self.both) {
            return vec![a];
        }
        let n = self.corners;
        let off = |share: f64| {
            let off = self.bent(if upright { from[0] } else { from[1] }, share);
            if upright { Point::new(off, 0.0) } else { Point::new(0.0, off) }
        };
        (0..n).map(|k| k as f64 / n as f64).map(|s| a.lerp(b, s) + off(s)).collect()
    }
    fn piece(&self, i: usize, k: usize) -> Polygon {
        let back = |mut points: Vec<Point>, to: Point| {
            points.push(to);
            points.reverse();
            points.pop();
            points
        };
        let corner = |i: usize, k: usize| Point::new(self.size[0] * i as f64, self.size[1] * k as f64);
        let mut outer = self.border([i, k], false);
        outer.extend(self.border([i + 1, k], true));
        outer.extend(back(self.border([i, k + 1], false), corner(i + 1, k + 1)));
        outer.extend(back(self.border([i, k], true), corner(i, k + 1)));
        let first = corner(i, k);
        Polygon::simple(outer.into_iter().map(|p| p - first).collect())
    }
    /// All pieces on a bed so much longer than the rectangle they were cut from.
    pub(crate) fn problem(&self, longer: f64) -> Problem {
        let (mut shapes, mut counts): (Vec<Shape>, Vec<usize>) = (Vec::new(), Vec::new());
        for i in 0..self.across {
            for k in 0..self.up {
                let piece = self.piece(i, k);
                let same = |s: &Shape| {
                    let known = &s.shadow.region().polygons[0].outer;
                    known.len() == piece.outer.len()
                        && known.iter().zip(&piece.outer).all(|(a, b)| a.distance(*b) < 1e-9)
                };
                if let Some(n) = shapes.iter().position(same) {
                    counts[n] += 1;
                } else {
                    shapes.push(plain(piece, Some(PI)));
                    counts.push(1);
                }
            }
        }
        // A hair more room than exact: bent borders fit one another but for rounding.
        let length = self.size[0] * self.across as f64 * longer + 1e-6;
        problem(shapes, vec![bed(rectangle(length, self.size[1] * self.up as f64 + 1e-6))], Aim::Pack { counts })
    }
}
