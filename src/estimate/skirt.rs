//! The skirt: loops on the first layer round all that stands on a plate.

use std::f64::consts::TAU;

use crate::{
    document::Recipe,
    geom::{Polygon, Region, hull, offset},
};

use super::{
    LayerWork, PlateCopy, RecipeFault,
    footing_profile::{TOLERANCE_MM, brim},
    paths::Run,
};

/// So many loops are laid one by one; farther out some stand for all. Fewer than of a brim, for a skirt is laid afresh on every
/// move of a pointer.
const MOST_SINGLE: usize = 12;

/// What the skirt costs, on the bed: the recipe's loops at its gap round the convex hull of all footings, with round corners.
/// Nothing without a skirt, or where nothing stands on the bed.
///
/// It is laid as a brim round that hull grown by the gap: corners are slowed for, and the head moves from loop to loop. Length and
/// volume are exact: a convex loop grown by d is 2 π d longer (Steiner).
///
/// # Errors
/// A recipe that [`super::check_recipe`] refuses.
pub(super) fn skirt(copies: &[PlateCopy], recipe: &Recipe) -> Result<LayerWork, RecipeFault> {
    let nothing = LayerWork::default();
    if recipe.skirt_loops == 0 {
        return Ok(nothing);
    }
    let around = hull::convex_hull(copies.iter().flat_map(|c| c.footing.hull().iter().map(|&p| c.placement.apply(p))));
    if around.len() < 3 || !around.iter().all(|p| p.is_finite()) {
        return Ok(nothing);
    }
    let around = Region::from(Polygon::simple(around));
    let loops = recipe.skirt_loops as usize;
    let inner = offset::grow(&around, recipe.skirt_gap_mm, TOLERANCE_MM);
    let mut work = brim(&inner, loops, MOST_SINGLE, recipe)?;
    let (bead, count) = (recipe.bead_width_mm, loops as f64);
    let length_mm = count * (around.perimeter() + TAU * (recipe.skirt_gap_mm + count * bead / 2.0));
    let scale = length_mm / work.footing.length_mm.max(1e-9);
    work.footing = Run {
        length_mm,
        volume_mm3: length_mm * bead * recipe.first_layer_mm,
        time_s: work.footing.time_s * scale,
        slowest_s: work.footing.slowest_s * scale,
    };
    Ok(work)
}
