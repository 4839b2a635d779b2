//! What a person must know about cooling: the worst layer, the first layer, where only one copy is left.

use crate::document::Recipe;

use super::{
    LayerEstimate, Limit, PlateEstimate,
    copies_until::{all_but_a_twentieth, further_copies},
    pace::Pace,
};

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
    /// Index of the first layer with only one copy left, where there were more below it.
    pub alone_from: Option<usize>,
}

/// Reads the summary off an estimate.
pub fn cooling_summary(estimate: &PlateEstimate) -> CoolingSummary {
    let layers = &estimate.layers;
    let worst =
        layers.iter().enumerate().filter_map(|(i, l)| Some((i, l.headroom?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let short = |l: &LayerEstimate| l.minimum_s.is_some_and(|m| l.natural_s < m);
    CoolingSummary {
        worst_layer: worst.map(|w| w.0),
        least_headroom: worst.map(|w| w.1),
        first_layer_short: layers.first().is_some_and(short),
        short_layers: layers.iter().filter(|l| short(l)).count(),
        unserved_layers: layers.iter().filter(|l| l.limit() == Limit::LeastSpeed).count(),
        unserved_s: layers.iter().map(|l| l.unserved_s).sum(),
        alone_from: alone_from(layers),
    }
}

fn alone_from(layers: &[LayerEstimate]) -> Option<usize> {
    layers.windows(2).position(|w| w[0].copies.len() > 1 && w[1].copies.len() == 1).map(|below| below + 1)
}

/// The heights at which one copy is left of several and its layers are short of cooling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastCopy {
    /// Index of the first such layer.
    pub from_layer: usize,
    /// Index of the copy in the estimate's input.
    pub copy: u32,
    /// Up to where the others grow, mm.
    pub from_mm: f64,
    /// Its top, mm.
    pub to_mm: f64,
    /// Number of its layers that are short.
    pub short_layers: usize,
    /// What slowing adds there, s.
    pub slowing_s: f64,
    /// What waiting adds there, s.
    pub waiting_s: f64,
    /// What stays missing there, s.
    pub unserved_s: f64,
    /// Time of all layers there: what the plate would end sooner without the copy, s.
    pub time_s: f64,
    /// So many copies as tall, side by side, would end the slowing on all but the worst twentieth of the layers there; moves between
    /// them are counted.
    pub copies_needed: u32,
}

/// Where one copy is left of several and is short of cooling; `None` where it is not. `pitch_mm` says of a copy, by its index in
/// the estimate's input, how far apart such copies lie side by side. What [`super::plate()`] makes of them: each further copy adds what the first lays and one move with its retraction; the layer
/// change and the move from layer to layer stay one.
pub fn last_copy(estimate: &PlateEstimate, recipe: &Recipe, pitch_mm: impl Fn(u32) -> f64) -> Option<LastCopy> {
    let layers = &estimate.layers;
    let from_layer = alone_from(layers)?;
    let (below, alone) = (layers.get(from_layer - 1)?, layers.get(from_layer..)?);
    let pace = Pace::new(recipe, false).ok()?;
    let copy = *alone.first()?.copies.first()?;
    let move_s = recipe.time_factor * pace.move_s(pitch_mm(copy));
    let change_s = recipe.layer_change_s * recipe.time_factor;
    let arrivals = estimate.arrivals_s.get(from_layer..).unwrap_or_default();
    let mut needed: Vec<u32> = alone
        .iter()
        .zip(arrivals.iter().copied().chain(std::iter::repeat(0.0)))
        .filter_map(|(l, arrival_s)| Some((l.minimum_s? - l.natural_s, l.natural_s - change_s - arrival_s)))
        .filter(|(_, laid_s)| *laid_s > 0.0)
        .map(|(short_s, laid_s)| further_copies(short_s, laid_s + move_s) + 1)
        .collect();
    let sum = |of: fn(&LayerEstimate) -> f64| alone.iter().map(of).sum::<f64>();
    let last = LastCopy {
        from_layer,
        copy,
        from_mm: below.top_mm,
        to_mm: alone.last()?.top_mm,
        short_layers: alone.iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0)).count(),
        slowing_s: sum(|l| l.slowing_s),
        waiting_s: sum(|l| l.waiting_s),
        unserved_s: sum(|l| l.unserved_s),
        time_s: sum(|l| l.time_s),
        copies_needed: all_but_a_twentieth(&mut needed)?,
    };
    (last.short_layers > 0).then_some(last)
}
