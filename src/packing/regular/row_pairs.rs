//! A copy and its half-turned self in rows: least pitch, least height of a row above another, contacts.

use std::f64::consts::PI;

use super::row_border::RowBorder;
use crate::geom::{Placement, Point, Region};
use crate::packing::bodies::zone::Zone;

/// Zones among a copy (0) and its half-turned self (1), in the frame of the rows.
pub(super) struct RowPairs {
    pub(super) zones: [[Zone; 2]; 2],
    pub(super) borders: [[RowBorder; 2]; 2],
}

impl RowPairs {
    pub(super) fn new(same: &Region, flip: &Region, psi: f64) -> Self {
        let at = |r: &Region, t: f64| r.placed(Placement::new(0.0, 0.0, t));
        let regions = [[at(same, psi), at(flip, psi)], [at(flip, psi + PI), at(same, psi + PI)]];
        Self {
            zones: [0, 1].map(|i: usize| [0, 1].map(|j: usize| Zone::new(&regions[i][j]))),
            borders: [0, 1].map(|i: usize| [0, 1].map(|j: usize| RowBorder::new(&regions[i][j]))),
        }
    }
    /// Least pitch of a cell.
    pub(super) fn pitch(&self, cell: &[(usize, Point)]) -> f64 {
        let mut p = 0.0_f64;
        for &(i, a) in cell {
            for &(j, b) in cell {
                p = p.max(self.borders[i][j].right(b.y - a.y) - (b.x - a.x));
            }
        }
        p
    }
    /// Least height at which a row moved along by `shift` lies above another.
    pub(super) fn height(&self, cell: &[(usize, Point)], pitch: f64, shift: f64) -> f64 {
        let mut h = f64::NEG_INFINITY;
        for &(i, a) in cell {
            for &(j, b) in cell {
                let profile = &self.borders[i][j];
                let reach = profile.reach;
                let x = shift + b.x - a.x;
                let first = ((reach.min.x - x) / pitch).ceil() as i64;
                let last = ((reach.max.x - x) / pitch).floor() as i64;
                for k in first..=last.min(first + 50) {
                    h = h.max(profile.top(x + k as f64 * pitch) - (b.y - a.y));
                }
            }
        }
        h
    }
    /// A row that lies higher than this above another is clear of it.
    pub(super) fn height_reach(&self, cell: &[(usize, Point)]) -> f64 {
        let pairs = cell.iter().flat_map(|a| cell.iter().map(move |b| (a, b)));
        pairs.map(|(&(i, a), &(j, b))| self.borders[i][j].reach.max.y - (b.y - a.y)).fold(0.0, f64::max)
    }
    /// Points of contact of a copy with its half-turned self.
    pub(super) fn contacts(&self, many: usize) -> Vec<Point> {
        let edges = &self.borders[0][1].edges;
        let length: f64 = edges.iter().map(|e| e.0.distance(e.1)).sum();
        let step = length / many.max(1) as f64;
        let mut out = Vec::new();
        for &(a, b) in edges {
            let n = (a.distance(b) / step).ceil().max(1.0) as usize;
            out.extend((0..n).map(|k| a.lerp(b, k as f64 / n as f64)));
        }
        // The other half is the same arrangement, turned by half a turn.
        out.retain(|t| t.y > -1e-9);
        if out.len() > many * 2 {
            let every = out.len().div_ceil(many * 2);
            out = out.into_iter().step_by(every).collect();
        }
        out
    }
}
