//! Union, intersection, difference of regions (by `i_overlay`, 64-bit grid: exact to about 1e-12 mm on a bed).

use i_overlay::{
    core::{fill_rule::FillRule, overlay_rule::OverlayRule},
    float::{simplify::SimplifyShape, single::SingleFloatOverlay},
};

use super::{Point, Polygon, Region};

/// A region as nested vectors, the form `i_overlay` reads and writes.
pub(super) type Shapes = Vec<Vec<Vec<Point>>>;

pub(super) fn to_shapes(region: &Region) -> Shapes {
    region.polygons.iter().map(|p| p.loops().cloned().collect()).collect()
}

pub(super) fn from_shapes(shapes: Shapes) -> Region {
    Region {
        polygons: shapes
            .into_iter()
            .filter_map(|mut loops| {
                if loops.is_empty() {
                    return None;
                }
                let outer = loops.remove(0);
                Some(Polygon { outer, holes: loops })
            })
            .collect(),
    }
}

/// Everything that lies in any of the regions.
pub fn union<'a>(regions: impl IntoIterator<Item = &'a Region>) -> Region {
    let loops: Vec<Vec<Point>> = regions.into_iter().flat_map(|r| r.loops().cloned()).collect();
    non_zero(&loops)
}

/// Everything that lies in both.
pub fn intersection(a: &Region, b: &Region) -> Region {
    overlay(a, b, OverlayRule::Intersect)
}

/// Everything of `a` that does not lie in `b`.
pub fn difference(a: &Region, b: &Region) -> Region {
    overlay(a, b, OverlayRule::Difference)
}

/// Everything that lies in exactly one.
pub fn symmetric_difference(a: &Region, b: &Region) -> Region {
    overlay(a, b, OverlayRule::Xor)
}

/// Fills loops by the non-zero rule: their winding numbers add up, whatever their order. Crossing loops are resolved.
pub fn non_zero(loops: &[Vec<Point>]) -> Region {
    let loops: Vec<Vec<Point>> = loops.iter().filter(|l| l.len() >= 3).cloned().collect();
    if loops.is_empty() {
        return Region::EMPTY;
    }
    from_shapes(loops.simplify_shape_as::<i64>(FillRule::NonZero))
}

fn overlay(a: &Region, b: &Region, rule: OverlayRule) -> Region {
    from_shapes(to_shapes(a).overlay_as::<i64>(&to_shapes(b), rule, FillRule::NonZero))
}
