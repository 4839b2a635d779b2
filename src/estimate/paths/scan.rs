//! Infill as scan lines, linked to and fro.

use crate::geom::{Point, Polygon};

/// Lines laid to and fro, each beginning near the end of the one before.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Chain {
    /// Each line from its begin to its end.
    pub(super) lines: Vec<(Point, Point)>,
}

impl Chain {
    pub(super) fn begin(&self) -> Point {
        self.lines.first().map_or(Point::default(), |l| l.0)
    }
    pub(super) fn end(&self) -> Point {
        self.lines.last().map_or(Point::default(), |l| l.1)
    }
    pub(super) fn reverse(&mut self) {
        self.lines.reverse();
        for l in &mut self.lines {
            *l = (l.1, l.0);
        }
    }
}

/// No more line ends than this in one piece of a layer: beyond it lines are laid farther apart (their length is normalised anyway).
const MOST_ENDS: f64 = 400_000.0;

/// Scan lines through a polygon at `angle_rad`, `spacing` apart, each end drawn in by `end_mm`. Lines lie at fixed places in
/// the part (at odd halves of the spacing from its origin), so that layers of one direction lie over each other.
///
/// A line is linked to the one before where both are the only ones to overlap each other and their ends are near.
pub(super) fn scan(piece: &Polygon, spacing: f64, angle_rad: f64, end_mm: f64) -> Vec<Chain> {
    let (s, c) = angle_rad.sin_cos();
    let down = |p: Point| Point::new(p.x * c + p.y * s, p.y * c - p.x * s);
    let up = |x: f64, y: f64| Point::new(x * c - y * s, x * s + y * c);
    let climb: f64 = piece.loops().flat_map(|l| pairs(l)).map(|(a, b)| (down(a).y - down(b).y).abs()).sum();
    let spacing = spacing.max(climb / MOST_ENDS);
    if !(spacing.is_finite() && climb.is_finite()) {
        return Vec::new();
    }
    // Crossings of line k at (k + ½) spacing.
    let mut crossings: Vec<(i64, f64)> = Vec::with_capacity((climb / spacing) as usize + 8);
    for (a, b) in piece.loops().flat_map(|l| pairs(l)) {
        let (a, b) = (down(a), down(b));
        let (low, high) = if a.y < b.y { (a, b) } else { (b, a) };
        let first = (low.y / spacing - 0.5).ceil() as i64;
        let end = (high.y / spacing - 0.5).ceil() as i64;
        for k in first..end {
            let y = (k as f64 + 0.5) * spacing;
            crossings.push((k, low.x + (y - low.y) / (high.y - low.y) * (high.x - low.x)));
        }
    }
    crossings.sort_unstable_by(|p, q| p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)));
    let spans: Vec<(i64, f64, f64)> = crossings
        .chunk_by(|p, q| p.0 == q.0)
        .flat_map(|line| line.chunks_exact(2).map(|x| (x[0].0, x[0].1, x[1].1)))
        .filter(|x| x.2 > x.1)
        .collect();

    let mut chains: Vec<Chain> = Vec::new();
    let mut before: Vec<(f64, f64, usize)> = Vec::new(); // spans of the line before, with their chains
    let mut line = i64::MIN;
    for row in spans.chunk_by(|p, q| p.0 == q.0) {
        let k = row[0].0;
        if k != line + 1 {
            before.clear();
        }
        line = k;
        let y = (k as f64 + 0.5) * spacing;
        let mut now = Vec::with_capacity(row.len());
        let mut low = 0;
        for (j, &(_, x0, x1)) in row.iter().enumerate() {
            while low < before.len() && before[low].1 <= x0 {
                low += 1;
            }
            // The only one before that overlaps, and this the only one that overlaps it.
            let only = before.get(low).filter(|b| b.0 < x1).filter(|_| before.get(low + 1).is_none_or(|b| b.0 >= x1));
            let mine =
                only.filter(|b| (j == 0 || row[j - 1].2 <= b.0) && row.get(j + 1).is_none_or(|next| next.1 >= b.1));
            let mid = x0.midpoint(x1);
            let half = ((x1 - x0) / 2.0 - end_mm).max((x1 - x0) * 0.1);
            let (a, b) = (up(mid - half, y), up(mid + half, y));
            let reach = 4.0 * spacing;
            let linked = mine.and_then(|&(_, _, chain)| {
                let end = chains[chain].end();
                let last = down(end);
                let (near, far) = if (last.x - mid).is_sign_positive() { (b, a) } else { (a, b) };
                (end.distance(near) <= reach).then_some((chain, near, far))
            });
            let chain = if let Some((chain, near, far)) = linked {
                chains[chain].lines.push((near, far));
                chain
            } else {
                chains.push(Chain { lines: vec![(a, b)] });
                chains.len() - 1
            };
            now.push((x0, x1, chain));
        }
        before = now;
    }
    chains
}

fn pairs(l: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..l.len()).map(|i| (l[i], l[(i + 1) % l.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Bounds, disc};

    fn total(chains: &[Chain]) -> f64 {
        chains.iter().flat_map(|c| &c.lines).map(|l| l.0.distance(l.1)).sum()
    }

    /// Length of all lines × spacing is the area, within the error of the sum (textbook: L = A/w).
    #[test]
    fn length_is_area_over_spacing() {
        let disc = disc::regular(Point::new(3.0, -2.0), 15.0, 360);
        for (spacing, angle, tolerance) in [(0.45, 0.0, 1e-3), (0.45, 0.8, 1e-3), (2.5, 2.356, 2e-2)] {
            let chains = scan(&disc, spacing, angle, 0.0);
            let ratio = total(&chains) * spacing / disc.area();
            assert!((ratio - 1.0).abs() < tolerance, "{spacing} at {angle}: {ratio}");
            assert_eq!(chains.len(), if spacing < 1.0 { chains.len() } else { 1 });
        }
    }

    /// Lines go to and fro, one chain in a square; round a hole there are more.
    #[test]
    fn links_to_and_fro() {
        let square = Polygon::rectangle(Bounds::new(Point::default(), Point::new(20.0, 20.0)));
        let chains = scan(&square, 0.5, 0.0, 0.25);
        assert_eq!(chains.len(), 1);
        assert_eq!(chains[0].lines.len(), 40);
        for w in chains[0].lines.windows(2) {
            assert!((w[0].1.distance(w[1].0) - 0.5).abs() < 1e-9);
            assert!((w[0].0.distance(w[0].1) - 19.5).abs() < 1e-9);
        }
        let mut ring = disc::regular(Point::default(), 10.0, 60);
        let mut hole = disc::regular(Point::default(), 5.0, 60).outer;
        hole.reverse();
        ring.holes.push(hole);
        let chains = scan(&ring, 0.5, 0.0, 0.25);
        assert!((4..12).contains(&chains.len()), "{}", chains.len());
    }

    /// Absurd sizes are laid with wider spacing instead of hanging.
    #[test]
    fn a_huge_piece_is_bounded() {
        let huge = Polygon::rectangle(Bounds::new(Point::default(), Point::new(1e9, 1e9)));
        let lines: usize = scan(&huge, 0.4, 0.7, 0.2).iter().map(|c| c.lines.len()).sum();
        assert!((1000..=400_000).contains(&lines), "{lines}");
    }
}
