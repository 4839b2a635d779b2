//! The nearest neighbours of each of many places, found in a grid so that thousands do not take quadratic time.

use crate::geom::{Bounds, Point};

/// For each member, its nearest other members, nearest first (ties: the lowest index).
#[derive(Debug, Default)]
pub(super) struct Neighbours {
    /// How many members there were.
    pub(super) count: usize,
    each: usize,
    /// `each` entries (fewer where there are no more) for every place, in one row.
    of: Vec<u32>,
    found: Vec<u32>,
}

impl Neighbours {
    /// The `each` nearest of every member among the members; `place[i]` is where member i is.
    pub(super) fn new(members: &[u32], place: &[Point], each: usize) -> Self {
        let mut all = Self { count: members.len(), each, of: vec![0; place.len() * each], found: vec![0; place.len()] };
        let grid = Grid::new(members, place, each);
        let mut near: Vec<(f64, u32)> = Vec::new();
        for &i in members {
            grid.around(i, place[i as usize], each, &mut near);
            let from = i as usize * each;
            for (slot, other) in all.of[from..from + each].iter_mut().zip(&near) {
                *slot = other.1;
            }
            all.found[i as usize] = near.len().min(each) as u32;
        }
        all
    }

    /// Those of member `i`.
    pub(super) fn of(&self, i: u32) -> &[u32] {
        let from = i as usize * self.each;
        &self.of[from..from + self.found[i as usize] as usize]
    }
}

/// Members by square cell, all cells in one row.
struct Grid {
    origin: Point,
    cell_mm: f64,
    columns: i64,
    rows: i64,
    /// Cell c holds `held[first[c]..first[c + 1]]`.
    first: Vec<u32>,
    held: Vec<(Point, u32)>,
}

impl Grid {
    fn new(members: &[u32], place: &[Point], each: usize) -> Self {
        let bounds = Bounds::of(members.iter().map(|&i| place[i as usize]));
        let (w, h) = (bounds.width().max(1e-6), bounds.height().max(1e-6));
        let n = members.len().max(1) as f64;
        // So many a cell that it and the eight round it are mostly enough, and never more cells than members.
        let cell_mm = (w * h * (each.max(2) as f64 / 2.0) / n).sqrt().max(w.max(h) / n);
        let (columns, rows) = ((w / cell_mm) as i64 + 1, (h / cell_mm) as i64 + 1);
        let origin = if members.is_empty() { Point::default() } else { bounds.min };
        let mut grid = Self { origin, cell_mm, columns, rows, first: Vec::new(), held: Vec::new() };
        let mut held: Vec<(usize, Point, u32)> = members
            .iter()
            .map(|&i| {
                let (x, y) = grid.cell_of(place[i as usize]);
                ((y * columns + x) as usize, place[i as usize], i)
            })
            .collect();
        held.sort_by_key(|m| m.0);
        grid.first = vec![0; (columns * rows) as usize + 1];
        for m in &held {
            grid.first[m.0 + 1] += 1;
        }
        for c in 1..grid.first.len() {
            grid.first[c] += grid.first[c - 1];
        }
        grid.held = held.into_iter().map(|m| (m.1, m.2)).collect();
        grid
    }

    fn cell_of(&self, p: Point) -> (i64, i64) {
        let along = |v: f64, n: i64| ((v / self.cell_mm).floor() as i64).clamp(0, n - 1);
        (along(p.x - self.origin.x, self.columns), along(p.y - self.origin.y, self.rows))
    }

    /// Fills `near` with the `each` members nearest to member `i` at `p`: squared distance and index, nearest first.
    fn around(&self, i: u32, p: Point, each: usize, near: &mut Vec<(f64, u32)>) {
        near.clear();
        let (cx, cy) = self.cell_of(p);
        let by = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        for ring in 0..=self.columns.max(self.rows) {
            for y in (cy - ring).max(0)..=(cy + ring).min(self.rows - 1) {
                // The top and bottom rows of the ring whole, of the others the two ends.
                let whole = (y - cy).abs() == ring;
                let row = y * self.columns;
                let mut take = |from: i64, to: i64| {
                    let (from, to) = (from.max(0), to.min(self.columns - 1));
                    if from <= to {
                        let cells = self.first[(row + from) as usize]..self.first[(row + to) as usize + 1];
                        let held = &self.held[cells.start as usize..cells.end as usize];
                        near.extend(held.iter().filter(|h| h.1 != i).map(|h| ((h.0 - p).length_squared(), h.1)));
                    }
                };
                if whole {
                    take(cx - ring, cx + ring);
                } else {
                    take(cx - ring, cx - ring);
                    take(cx + ring, cx + ring);
                }
            }
            // What lies outside the rings is farther than `ring` cells: enough within that, enough in all.
            let sure = (ring as f64 * self.cell_mm).powi(2);
            if near.iter().filter(|n| n.0 < sure).count() >= each {
                break;
            }
        }
        if near.len() > each {
            near.select_nth_unstable_by(each, by);
            near.truncate(each);
        }
        near.sort_unstable_by(by);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// The grid finds what sorting all others finds, ties and places on top of each other included.
        #[test]
        fn as_by_sorting_all(
            points in prop::collection::vec((0..12i32, 0..12i32), 0..120), left_out in 0..5usize, flat in any::<bool>(),
        ) {
            let place: Vec<Point> =
                points.iter().map(|&(x, y)| Point::new(f64::from(x), if flat { 0.0 } else { f64::from(y) * 7.0 })).collect();
            let members: Vec<u32> = (0..place.len() as u32).filter(|i| i % 5 != left_out as u32).collect();
            let all = Neighbours::new(&members, &place, 6);
            for &i in &members {
                let mut others: Vec<u32> = members.iter().copied().filter(|&j| j != i).collect();
                let off = |j: u32| (place[j as usize] - place[i as usize]).length_squared();
                others.sort_by(|&a, &b| off(a).total_cmp(&off(b)).then(a.cmp(&b)));
                others.truncate(6);
                prop_assert_eq!(all.of(i), &others[..]);
            }
        }
    }

    /// Common sense: one far away, and a place that is no number, must not send the search round for ever.
    #[test]
    fn one_far_away_and_one_nowhere() {
        let place = [Point::new(0.0, 0.0), Point::new(1.0, 0.0), Point::new(1e12, 0.0), Point::new(f64::NAN, 0.0)];
        let all = Neighbours::new(&[0, 1, 2, 3], &place, 2);
        assert_eq!(all.of(0), [1, 2]);
        assert_eq!(all.of(2).len(), 2);
    }
}
