//! Area, centroid and second moments of regions.

use super::{Point, Region};

/// Moments of a region. Second moments are about the centroid.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// Area in mm².
    pub area: f64,
    /// Centroid.
    pub centroid: Point,
    /// ∫ x² dA about the centroid, mm⁴.
    pub xx: f64,
    /// ∫ x y dA about the centroid, mm⁴.
    pub xy: f64,
    /// ∫ y² dA about the centroid, mm⁴.
    pub yy: f64,
}

impl Moments {
    /// Least second moment over all directions, mm⁴: the smaller principal one; never negative.
    pub fn least_mm4(&self) -> f64 {
        let (mean, half) = (0.5 * (self.xx + self.yy), 0.5 * (self.xx - self.yy));
        (mean - half.hypot(self.xy)).max(0.0)
    }
}

/// Moments by Green's theorem over all edges; exact for polygons. Source: handbook polygon formulas.
pub fn moments(region: &Region) -> Moments {
    // Shifted to the middle of the box, so that far-away regions lose no digits.
    let o = region.bounds().centre();
    if !o.is_finite() {
        return Moments::default();
    }
    let (mut a, mut sx, mut sy, mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (p, q) in region.edges() {
        let (p, q) = (p - o, q - o);
        let c = p.cross(q);
        a += c / 2.0;
        sx += (p.x + q.x) * c / 6.0;
        sy += (p.y + q.y) * c / 6.0;
        xx += (p.x * p.x + p.x * q.x + q.x * q.x) * c / 12.0;
        yy += (p.y * p.y + p.y * q.y + q.y * q.y) * c / 12.0;
        xy += (p.x * q.y + 2.0 * p.x * p.y + 2.0 * q.x * q.y + q.x * p.y) * c / 24.0;
    }
    if a <= 0.0 {
        return Moments { centroid: o, ..Moments::default() };
    }
    let c = Point::new(sx / a, sy / a);
    Moments { area: a, centroid: o + c, xx: xx - a * c.x * c.x, xy: xy - a * c.x * c.y, yy: yy - a * c.y * c.y }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{
        Placement, Polygon, disc,
        samples::{bracket, frame, square},
    };

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-6 * b.abs().max(1.0)
    }

    /// Handbook values: rectangle b h³/12; the L by hand: A 500, c (11, 11), 36166.667, −18000; the right triangle
    /// (0,0)(30,0)(0,20): A 300, c (10, 6.6667), Ix 6666.667, Iy 15000, Ixy −5000.
    #[test]
    fn worked_shapes() {
        let m = moments(&square(-5.0, 100.0, 10.0));
        assert!(near(m.area, 100.0) && near(m.xx, 833.333_333) && near(m.yy, 833.333_333) && m.xy.abs() < 1e-9);
        let m = moments(&bracket());
        assert!(near(m.area, 500.0) && near(m.centroid.x, 11.0) && near(m.centroid.y, 11.0));
        assert!(near(m.xx, 36_166.666_667) && near(m.yy, 36_166.666_667) && near(m.xy, -18_000.0), "{m:?}");
        // Principal moments 54166.667 and 18166.667.
        assert!(near(m.least_mm4(), 18_166.666_667), "{m:?}");
        let triangle = [[0.0, 0.0], [30.0, 0.0], [0.0, 20.0]].map(Point::from).to_vec();
        let m = moments(&Polygon::simple(triangle).into());
        assert!(near(m.area, 300.0) && near(m.centroid.x, 10.0) && near(m.centroid.y, 20.0 / 3.0));
        assert!(near(m.yy, 6_666.666_667) && near(m.xx, 15_000.0) && near(m.xy, -5_000.0), "{m:?}");
    }

    /// Annulus 20/16: I = π (D⁴ − d⁴)/64 = 4636.991 mm⁴; a frame is outer less inner square.
    #[test]
    fn holes_are_taken_off() {
        let mut ring = disc::regular(Point::default(), 10.0, 720);
        let mut hole = disc::regular(Point::default(), 8.0, 720).outer;
        hole.reverse();
        ring.holes.push(hole);
        let m = moments(&ring.into());
        assert!((m.xx - 4_636.991).abs() < 0.5 && (m.yy - m.xx).abs() < 1e-6, "{m:?}");
        let m = moments(&frame(10.0, 6.0));
        assert!(near(m.area, 64.0) && near(m.xx, (1e4 - 1296.0) / 12.0));
    }

    #[test]
    fn a_move_leaves_them_and_a_quarter_turn_swaps_them() {
        let m = moments(&bracket());
        let far = moments(&bracket().placed(Placement::at(1e5, -1e5)));
        assert!(near(far.xx, m.xx) && near(far.xy, m.xy));
        let turned = moments(&bracket().placed(Placement::new(0.0, 0.0, std::f64::consts::FRAC_PI_2)));
        assert!(near(turned.xx, m.yy) && near(turned.xy, -m.xy));
    }

    #[test]
    fn nothing_has_none() {
        assert_eq!(moments(&Region::EMPTY), Moments::default());
    }
}
