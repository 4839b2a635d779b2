//! Fewer vertices within a tolerance, never losing ground.

use super::{Point, Polygon, Region, region::loop_area};

/// Drops vertices where the border moves by at most `tolerance_mm`, and only outwards: the result holds the input.
///
/// An inward (reflex) vertex close to the chord of its neighbours is dropped; an outward vertex is dropped by
/// prolonging its neighbours' edges until they meet, where that point lies within the tolerance.
pub fn outward(region: &Region, tolerance_mm: f64) -> Region {
    Region {
        polygons: region
            .polygons
            .iter()
            .map(|p| Polygon {
                outer: thin(&p.outer, tolerance_mm),
                holes: p.holes.iter().map(|h| thin(h, tolerance_mm)).filter(|h| loop_area(h) < 0.0).collect(),
            })
            .filter(|p| p.outer.len() >= 3)
            .collect(),
    }
}

/// One loop, the inside on its left.
fn thin(input: &[Point], tolerance: f64) -> Vec<Point> {
    // Each edge of the result stands for a run of input edges; `spent` is how far the border has moved there already.
    let mut pts: Vec<(Point, f64)> = input.iter().map(|&p| (p, 0.0)).collect();
    loop {
        let before = pts.len();
        let mut i = 0;
        while pts.len() > 3 && i < pts.len() {
            let n = pts.len();
            let (a, (b, spent), c) = (pts[(i + n - 1) % n].0, pts[i], pts[(i + 1) % n].0);
            let chord = c - a;
            let length = chord.length();
            let height = if length > 0.0 { (b - a).cross(chord) / length } else { f64::INFINITY };
            // height > 0: b bulges outwards (right of the chord); < 0: b is an inward corner.
            if height.abs() <= 1e-12 {
                pts.remove(i);
                continue;
            }
            if height < 0.0 && spent - height <= tolerance {
                pts[(i + n - 1) % n].1 = pts[(i + n - 1) % n].1.max(spent - height);
                pts[(i + 1) % n].1 = pts[(i + 1) % n].1.max(spent - height);
                pts.remove(i);
                continue;
            }
            i += 1;
        }
        // Two outward corners b, c with a short edge between: prolong a→b and d→c until they meet.
        let mut i = 0;
        while pts.len() > 3 && i < pts.len() {
            let n = pts.len();
            let (ia, ib, ic, id) = (i, (i + 1) % n, (i + 2) % n, (i + 3) % n);
            let (a, b, c, d) = (pts[ia].0, pts[ib].0, pts[ic].0, pts[id].0);
            let (u, v, edge) = (b - a, c - d, c - b);
            let denominator = u.cross(v);
            if u.cross(edge) > 0.0 && edge.cross(-v) > 0.0 && denominator < 0.0 {
                let t = (d - a).cross(v) / denominator;
                let meet = a + u * t;
                let out = (meet - b).cross(edge).abs() / edge.length().max(1e-300);
                let moved = pts[ib].1.max(pts[ic].1) + out;
                if t >= 1.0 && moved <= tolerance && meet.is_finite() {
                    pts[ib] = (meet, moved);
                    pts.remove(ic);
                    continue;
                }
            }
            i += 1;
        }
        if pts.len() == before {
            return pts.into_iter().map(|(p, _)| p).collect();
        }
    }
}
