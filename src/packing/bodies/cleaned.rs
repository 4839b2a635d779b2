//! Regions as they come from outside, made fit to compute with.

use crate::geom::{Point, Region, boolean};

/// The region without crossings or folds, filled non-zero; nothing where a coordinate is not a number.
pub(in crate::packing) fn cleaned(region: &Region) -> Region {
    if region.vertices().all(Point::is_finite) {
        boolean::non_zero(&region.loops().cloned().collect::<Vec<_>>())
    } else {
        Region::EMPTY
    }
}

/// The outer loops alone.
pub(in crate::packing) fn filled(region: &Region) -> Region {
    let mut r = cleaned(region);
    for p in &mut r.polygons {
        p.holes.clear();
    }
    boolean::union([&r])
}
