//! What a person must know about cooling: the worst layer, the first layer, where only one copy is left, how many copies help.

use crate::document::{Material, Recipe};

use super::{LayerEstimate, PlateEstimate, Profile, minimum_s};

/// What stands out in the layers of a plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoolingSummary {
    /// Index of the layer with the least headroom; `None` where no minimum is set.
    pub worst_layer: Option<usize>,
    /// Headroom of it.
    pub least_headroom: Option<f64>,
    /// The first layer's natural time is under its minimum.
    pub first_layer_short: bool,
    /// Number of layers whose natural time is under the minimum.
    pub short_layers: usize,
    /// Number of layers that stay short after slowing (and waiting).
    pub unserved_layers: usize,
    /// Seconds that stay short, summed.
    pub unserved_s: f64,
    /// Above this height (mm) only one copy is left, where there were more below it.
    pub single_from_mm: Option<f64>,
}

/// Reads the summary off an estimate.
pub fn cooling_summary(estimate: &PlateEstimate) -> CoolingSummary {
    let layers = &estimate.layers;
    let worst =
        layers.iter().enumerate().filter_map(|(i, l)| Some((i, l.headroom?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let short = |l: &LayerEstimate| l.minimum_s.is_some_and(|m| l.natural_s < m);
    let single = layers.windows(2).find(|w| w[0].copies.len() > 1 && w[1].copies.len() == 1).map(|w| w[0].top_mm);
    CoolingSummary {
        worst_layer: worst.map(|w| w.0),
        least_headroom: worst.map(|w| w.1),
        first_layer_short: layers.first().is_some_and(short),
        short_layers: layers.iter().filter(|l| short(l)).count(),
        unserved_layers: layers.iter().filter(|l| l.unserved_s > 1e-9).count(),
        unserved_s: layers.iter().map(|l| l.unserved_s).sum(),
        single_from_mm: single,
    }
}

/// How many copies of a part must grow together until layers are no longer slowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CopiesUntil {
    /// On every layer (a pointed tip can make this very large).
    pub every_layer: u32,
    /// On all but the worst twentieth of the layers.
    pub nearly_every_layer: u32,
}

/// The number of copies at which slowing down ends; `None` where no minimum is set or nothing is laid. Moves between copies are
/// left out, so the number errs high: ⌈minimum ÷ time of one copy⌉, layer changes and time factor counted.
pub fn copies_until_slowing_ends(profile: &Profile, material: &Material, recipe: &Recipe) -> Option<CopiesUntil> {
    let mut needed: Vec<u32> = profile
        .layers()
        .iter()
        .enumerate()
        .filter(|(_, l)| l.time_s() > 0.0)
        .map(|(i, l)| {
            let height = if i == 0 { recipe.first_layer_mm } else { recipe.layer_height_mm };
            let minimum = minimum_s(material, recipe, height, l.area_mm2, l.perimeter_mm)?;
            let left = minimum / recipe.time_factor - recipe.layer_change_s;
            // 1e-9 forgives rounding where a whole number of copies just serves.
            Some(((left / l.time_s() - 1e-9).ceil().max(1.0)) as u32)
        })
        .collect::<Option<_>>()?;
    needed.sort_unstable();
    let every_layer = *needed.last()?;
    let nearly = needed.get((needed.len() * 19).div_ceil(20).saturating_sub(1)).copied()?;
    Some(CopiesUntil { every_layer, nearly_every_layer: nearly })
}
