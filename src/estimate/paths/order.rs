//! Which path next: the nearest, found in a grid so that thousands of islands do not take quadratic time.

use crate::geom::{Bounds, Point};

/// Points to be visited, each carrying an index; the nearest one left is taken out again and again.
#[derive(Debug)]
pub(in crate::estimate) struct Nearest {
    cells: Vec<Vec<(Point, u32)>>,
    origin: Point,
    cell_mm: f64,
    columns: i64,
    rows: i64,
    left: usize,
}

impl Nearest {
    /// Points i with index i of `owner`.
    pub(in crate::estimate) fn new(points: impl IntoIterator<Item = (Point, u32)>) -> Self {
        let points: Vec<(Point, u32)> = points.into_iter().filter(|p| p.0.is_finite()).collect();
        let bounds = Bounds::of(points.iter().map(|p| p.0));
        let (w, h) = (bounds.width().max(1e-6), bounds.height().max(1e-6));
        // About two points a cell, and never more cells than points.
        let cell_mm = (w * h * 2.0 / points.len().max(1) as f64).sqrt().max(w.max(h) / points.len().max(1) as f64);
        let (columns, rows) = ((w / cell_mm) as i64 + 1, (h / cell_mm) as i64 + 1);
        let mut grid = Self {
            cells: vec![Vec::new(); (columns * rows) as usize],
            origin: if points.is_empty() { Point::default() } else { bounds.min },
            cell_mm,
            columns,
            rows,
            left: points.len(),
        };
        for p in points {
            let (cx, cy) = grid.cell_of(p.0);
            grid.cells[(cy * grid.columns + cx) as usize].push(p);
        }
        grid
    }
    fn cell_of(&self, p: Point) -> (i64, i64) {
        let along = |v: f64, n: i64| ((v / self.cell_mm).floor() as i64).clamp(0, n - 1);
        (along(p.x - self.origin.x, self.columns), along(p.y - self.origin.y, self.rows))
    }
    /// Takes out the point nearest to `from` (ties: the lowest index).
    pub(in crate::estimate) fn take(&mut self, from: Point) -> Option<(Point, u32)> {
        let (cx, cy) = self.cell_of(from);
        let mut best: Option<(f64, u32, usize, usize)> = None;
        if self.left == 0 {
            return None;
        }
        for ring in 0..=self.columns.max(self.rows) {
            // Everything outside the rings searched so far is at least (ring − 1) cells away from a point inside the grid;
            // for one outside it, at least as far again.
            if let Some((d, ..)) = best
                && d < ((ring - 1).max(0) as f64 * self.cell_mm).powi(2)
            {
                break;
            }
            for (x, y) in square(cx, cy, ring) {
                if x < 0 || y < 0 || x >= self.columns || y >= self.rows {
                    continue;
                }
                let c = (y * self.columns + x) as usize;
                for (k, &(p, i)) in self.cells[c].iter().enumerate() {
                    let d = (p - from).length_squared();
                    if best.is_none_or(|(bd, bi, ..)| d < bd || d == bd && i < bi) {
                        best = Some((d, i, c, k));
                    }
                }
            }
        }
        let (_, _, c, k) = best?;
        self.left -= 1;
        Some(self.cells[c].swap_remove(k))
    }
}

/// Cells of the square ring `r` cells round (cx, cy).
fn square(cx: i64, cy: i64, r: i64) -> impl Iterator<Item = (i64, i64)> {
    (-r..=r).flat_map(move |dy| {
        let step = if dy.abs() == r || r == 0 { 1 } else { 2 * r };
        (-r..=r).step_by(step as usize).map(move |dx| (cx + dx, cy + dy))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The grid finds what a search through all points finds.
        #[test]
        fn nearest_is_nearest(
            points in prop::collection::vec((0.0..50.0f64, 0.0..3.0f64), 1..60), x in -20.0..70.0f64, y in -20.0..30.0f64,
        ) {
            let mut left: Vec<(Point, u32)> =
                points.iter().enumerate().map(|(i, &(x, y))| (Point::new(x, y), i as u32)).collect();
            let mut grid = Nearest::new(left.clone());
            let mut at = Point::new(x, y);
            while let Some((p, i)) = grid.take(at) {
                let least = left.iter().map(|q| q.0.distance(at)).fold(f64::INFINITY, f64::min);
                prop_assert!((p.distance(at) - least).abs() < 1e-12);
                left.retain(|q| q.1 != i);
                at = p;
            }
            prop_assert!(left.is_empty());
        }
    }
}
