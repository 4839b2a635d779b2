//! Discs as polygons.

use super::{Point, Polygon};

/// A regular polygon inside the circle, its corners on it and its edges within `tolerance_mm` of it: for beds, which
/// must not grow.
pub fn inside(centre: Point, radius_mm: f64, tolerance_mm: f64) -> Polygon {
    regular(centre, radius_mm, sides(radius_mm, tolerance_mm))
}

/// A regular polygon round the circle, its edges touching it: for parts and keep-outs, which must not shrink.
pub fn around(centre: Point, radius_mm: f64, tolerance_mm: f64) -> Polygon {
    let n = sides(radius_mm, tolerance_mm);
    regular(centre, radius_mm / (std::f64::consts::PI / n as f64).cos(), n)
}

/// A regular polygon with `n` corners on the circle, the first one at angle 0.
pub fn regular(centre: Point, radius_mm: f64, n: usize) -> Polygon {
    let outer = (0..n)
        .map(|i| centre + Point::new(radius_mm, 0.0).turned(std::f64::consts::TAU * i as f64 / n as f64))
        .collect();
    Polygon { outer, holes: Vec::new() }
}

fn sides(radius_mm: f64, tolerance_mm: f64) -> usize {
    let ratio = (1.0 - tolerance_mm / radius_mm.max(1e-9)).clamp(-1.0, 1.0);
    ((std::f64::consts::PI / ratio.acos().max(1e-3)).ceil() as usize).clamp(16, 720)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_lies_within_the_circle_and_one_round_it() {
        let c = Point::new(100.0, 100.0);
        for (radius, tolerance) in [(100.0, 0.01), (3.0, 0.01), (250.0, 0.001), (0.5, 0.1)] {
            let edge_middles = |p: &Polygon| {
                super::super::region::loop_edges(&p.outer)
                    .map(|(a, b)| a.lerp(b, 0.5).distance(c))
                    .collect::<Vec<f64>>()
            };
            let (within, round) = (inside(c, radius, tolerance), around(c, radius, tolerance));
            assert!(within.outer.iter().all(|p| p.distance(c) <= radius + 1e-9));
            // 720 corners at most: 1e-5 of the radius where the tolerance asks for more.
            let allowed = tolerance.max(1e-5 * radius);
            assert!(edge_middles(&within).iter().all(|&d| d >= radius - allowed - 1e-9));
            assert!(edge_middles(&round).iter().all(|&d| (d - radius).abs() < 1e-9));
            assert!(round.outer.iter().all(|p| p.distance(c) <= radius + 1.01 * allowed));
        }
    }
}
