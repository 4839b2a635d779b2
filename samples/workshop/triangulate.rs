//! Triangles of a flat face with holes, from its own corners alone. Method: bridge the holes, then cut ears.

use super::outlines::P2;

fn cross(a: P2, b: P2, c: P2) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn distance2(a: P2, b: P2) -> f64 {
    (a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)
}

/// True where the open segments ab and cd cross or touch, common ends aside.
fn crosses(a: P2, b: P2, c: P2, d: P2) -> bool {
    if a == c || a == d || b == c || b == d {
        return false;
    }
    let (s, t) = (cross(a, b, c) * cross(a, b, d), cross(c, d, a) * cross(c, d, b));
    s <= 0.0 && t <= 0.0 && (s < 0.0 || t < 0.0)
}

fn edges(points: &[P2]) -> impl Iterator<Item = (P2, P2)> + '_ {
    points.iter().copied().zip(points.iter().copied().cycle().skip(1))
}

/// One loop that runs round the outer loop and, over bridges, round the holes.
fn bridged(outer: &[P2], holes: &[&[P2]]) -> Vec<P2> {
    let mut ring = outer.to_vec();
    let mut left: Vec<Vec<P2>> = holes.iter().map(|h| h.iter().rev().copied().collect()).collect();
    let rightmost = |h: &[P2]| h.iter().map(|p| p[0]).fold(f64::MIN, f64::max);
    left.sort_by(|a, b| rightmost(a).total_cmp(&rightmost(b)));
    while let Some(hole) = left.pop() {
        let mut best: Option<(f64, usize, usize)> = None;
        for (i, &a) in ring.iter().enumerate() {
            for (j, &b) in hole.iter().enumerate() {
                let d = distance2(a, b);
                if best.is_some_and(|(least, ..)| d >= least) {
                    continue;
                }
                let all = edges(&ring).chain(edges(&hole)).chain(left.iter().flat_map(|h| edges(h)));
                if !all.into_iter().any(|(c, d)| crosses(a, b, c, d)) {
                    best = Some((d, i, j));
                }
            }
        }
        if let Some((_, i, j)) = best {
            let mut piece: Vec<P2> = hole[j..].iter().chain(&hole[..=j]).copied().collect();
            piece.push(ring[i]);
            let at = i + 1;
            ring.splice(at..at, piece);
        }
    }
    ring
}

/// The triangles of a face, counter-clockwise, from a counter-clockwise outer loop and counter-clockwise holes.
pub(crate) fn triangulate(outer: &[P2], holes: &[&[P2]]) -> Vec<[P2; 3]> {
    let mut ring = bridged(outer, holes);
    let mut triangles = Vec::new();
    while ring.len() > 2 {
        let n = ring.len();
        let ear = (0..n)
            .filter(|&i| {
                let [a, b, c] = [ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]];
                cross(a, b, c) > 1e-9
                    && ring.iter().all(|&p| {
                        p == a
                            || p == b
                            || p == c
                            || cross(a, b, p) < 0.0
                            || cross(b, c, p) < 0.0
                            || cross(c, a, p) < 0.0
                    })
            })
            .min_by(|&i, &j| {
                let diagonal = |i: usize| distance2(ring[(i + n - 1) % n], ring[(i + 1) % n]);
                diagonal(i).total_cmp(&diagonal(j))
            });
        let Some(i) = ear else { break };
        triangles.push([ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]]);
        ring.remove(i);
    }
    triangles
}
