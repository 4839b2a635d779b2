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
    Moments {
        area: a,
        centroid: o + c,
        xx: xx - a * c.x * c.x,
        xy: xy - a * c.x * c.y,
        yy: yy - a * c.y * c.y,
    }
}
