//! Which places of a region are thinner than so much?

use crate::geom::{Point, Polygon, Region, boolean, offset, simplify};

/// Pieces under this share of a squared bead width are not printed for themselves; their area goes to the bead beside them.
pub(super) const CRUMB: f64 = 0.1;

/// An inset without the crumbs of its corners: vertices that no head would feel only cost time.
pub(super) fn inset(region: &Region, by_mm: f64, bead_mm: f64) -> Region {
    simplify::within(&offset::inset(region, by_mm), bead_mm * 5e-4)
}

/// True where nothing of `whole` is thinner than twice `by_mm`, seen from `inner`, its inset by so much, alone. False where that
/// cannot be told so.
pub(super) fn keeps(whole: &Region, inner: &Region, by_mm: f64, bead_mm: f64) -> bool {
    // What vanishes at this very distance passes for a place that is all there.
    if inner.is_empty() {
        return false;
    }
    // Where no edge vanishes, the area between is the mean of both perimeters times the distance (P is linear in it), and
    // the perimeter falls by what the corners say. Insets move edges by up to 1e-5 of the distance too much or too little.
    let (outside, inside) = (whole.perimeter(), inner.perimeter());
    let Some(corners) = corner_sum(whole) else { return false };
    let area_off = (whole.area() - inner.area() - outside.midpoint(inside) * by_mm).abs();
    let perimeter_off = (outside - inside - 2.0 * by_mm * corners).abs();
    area_off < 0.2 * CRUMB * bead_mm * bead_mm + 2e-5 * by_mm * outside && perimeter_off < 0.2 * bead_mm
}

/// The places of `whole` that are thinner than twice `by_mm`; `core` is its inset by that. Corners down to 30° do not count as thin.
pub(super) fn thinner(whole: &Region, core: &Region, by_mm: f64, bead_mm: f64) -> Vec<Polygon> {
    let reached = offset::outset(core, by_mm * 1.001);
    let mut pieces = boolean::difference_quick(whole, &reached).polygons;
    // Rounding and thinned corners leave slivers of less than 1e-3 mm.
    pieces.retain(|p| p.area() > CRUMB * bead_mm * bead_mm && thickness_mm(p) > 5e-3 * bead_mm);
    pieces
}

/// Mean thickness of a piece that is much longer than thick: twice the area over the perimeter.
pub(super) fn thickness_mm(piece: &Polygon) -> f64 {
    2.0 * piece.area() / piece.loops().map(|l| length(l)).sum::<f64>()
}

/// Length of a closed loop, mm.
pub(super) fn length(points: &[Point]) -> f64 {
    let n = points.len();
    (0..n).map(|i| points[i].distance(points[(i + 1) % n])).sum()
}

/// Σ tan(e/2) over all corners, e the turn at each: half of what the perimeter loses per distance of inset. Source: textbook
/// geometry, P(d) = P − 2 d Σ tan(e/2). `None` where a corner is sharper than 30°: its tip is thin though its edges vanish nowhere.
fn corner_sum(region: &Region) -> Option<f64> {
    /// −cos 30°.
    const SHARPEST: f64 = -0.866_025_403_784_438_6;
    let mut sum = 0.0;
    for l in region.loops() {
        let n = l.len();
        for i in 0..n {
            let (a, b, c) = (l[(i + n - 1) % n], l[i], l[(i + 1) % n]);
            let (u, v) = ((b - a).normalized(), (c - b).normalized());
            let cos = u.dot(v);
            if cos < SHARPEST {
                return None;
            }
            // tan(e/2) = sin e / (1 + cos e)
            sum += u.cross(v) / (1.0 + cos);
        }
    }
    Some(sum)
}
