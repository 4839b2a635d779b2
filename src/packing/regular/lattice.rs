//! A lattice: rows of a cell at a pitch.

use crate::geom::{Bounds, Point};

/// Rows of a cell, each row the same, in a frame whose x axis runs along them.
#[derive(Debug, Clone)]
pub(super) struct Lattice {
    /// Turn of the copy in the frame of the rows; direction of the rows.
    pub(super) psi: f64,
    pub(super) phi: f64,
    /// Half-turned or not, and where in the cell.
    pub(super) cell: Vec<(usize, Point)>,
    pub(super) pitch: f64,
    pub(super) shift: f64,
    pub(super) height: f64,
    pub(super) to_and_fro: bool,
}

impl Lattice {
    pub(super) fn row_shift(&self, row: i64) -> f64 {
        if self.to_and_fro { if row.rem_euclid(2) == 0 { 0.0 } else { self.shift } } else { self.shift * row as f64 }
    }
}

/// Copies in the boxes of the two members, by arithmetic, and the phase that gives most.
pub(super) fn count(l: &Lattice, ranges: &[Bounds; 2]) -> (usize, Point) {
    let mut best = (0, Point::default());
    for &(iy, off_y) in &l.cell {
        let y0 = ranges[iy].min.y - off_y.y;
        for &(ix, off_x) in &l.cell {
            for row in 0..3 {
                let x0 = ranges[ix].min.x - off_x.x - l.row_shift(row);
                let mut n = 0;
                let rows = ((ranges[0].max.y.max(ranges[1].max.y) - y0) / l.height).ceil() as i64 + 2;
                for r in -2..=rows {
                    for &(i, off) in &l.cell {
                        let y = y0 + off.y + r as f64 * l.height;
                        if y < ranges[i].min.y - 1e-9 || y > ranges[i].max.y + 1e-9 {
                            continue;
                        }
                        let x = x0 + l.row_shift(r) + off.x;
                        let first = ((ranges[i].min.x - x) / l.pitch - 1e-9).ceil();
                        let last = ((ranges[i].max.x - x) / l.pitch + 1e-9).floor();
                        n += (last - first + 1.0).max(0.0) as usize;
                    }
                }
                if n > best.0 {
                    best = (n, Point::new(x0, y0));
                }
            }
        }
    }
    best
}
