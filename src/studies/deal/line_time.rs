//! Print times from what lies on a plate, without places.

use crate::{
    document::{Material, Recipe},
    estimate::{FootingProfile, LayerWork, Profile, minimum_s, motion::rest_to_rest_s},
};

/// One layer of one copy.
#[derive(Debug, Clone, Copy, Default)]
struct LayerTime {
    /// At the recipe's speeds, s.
    s: f64,
    /// What slowing down can add, s.
    slack_s: f64,
    /// The least that the layer takes, s; 0 where none is set.
    minimum_s: f64,
}

/// A copy of a line, layer by layer.
#[derive(Debug, Clone)]
pub(super) struct LineTime {
    layers: Vec<LayerTime>,
    /// From one copy to its neighbour, s.
    hop_s: f64,
    /// All its layers, unslowed, without ways between copies, at a time factor of 1, s.
    pub(super) own_s: f64,
}

/// What a plate takes, s, heating up and end left out.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct ContentTime {
    /// Its layers.
    pub(super) time_s: f64,
    /// What its layers still lack of their minimum.
    pub(super) unserved_s: f64,
}

impl LineTime {
    /// A part with its footing in a recipe; neighbours are `pitch_mm` apart.
    pub(super) fn new(
        profile: &Profile,
        footing: &FootingProfile,
        material: &Material,
        recipe: &Recipe,
        pitch_mm: f64,
    ) -> Self {
        let lift = footing.lift_layers();
        let count = (lift + profile.layers().len()).max(footing.layers().len());
        let mut layers = vec![LayerTime::default(); count];
        let minimum = |i: usize, l: &LayerWork| {
            let height = if i == 0 { recipe.first_layer_mm } else { recipe.layer_height_mm };
            minimum_s(material, recipe, height, l.bulk_area_mm2, l.bulk_perimeter_mm).unwrap_or(0.0)
        };
        let part = profile.layers().iter().enumerate().map(|(k, l)| (lift + k, l));
        for (i, l) in part.chain(footing.layers().iter().enumerate()) {
            if let Some(layer) = layers.get_mut(i) {
                layer.s += l.time_s();
                layer.slack_s += l.slowest_s() - l.time_s();
                layer.minimum_s = layer.minimum_s.max(minimum(i, l));
            }
        }
        let retraction_s = 2.0 * recipe.retraction_mm / recipe.retraction_mm_s;
        let hop_s =
            rest_to_rest_s(pitch_mm.max(0.0), recipe.travel_mm_s, recipe.travel_acceleration_mm_s2) + retraction_s;
        let own_s = layers.iter().map(|l| l.s).sum();
        Self { layers, hop_s: if hop_s.is_finite() { hop_s } else { 0.0 }, own_s }
    }
}

/// The time of a plate of a recipe, from so many copies of each line. Ways between copies are taken as long as the pitch of each part.
pub(super) fn content_time(recipe: &Recipe, its: &[(f64, &LineTime)]) -> ContentTime {
    let count = its.iter().map(|(_, t)| t.layers.len()).max().unwrap_or(0);
    let factor = recipe.time_factor;
    let mut total = ContentTime::default();
    for i in 0..count {
        let (mut laid_s, mut slack_s, mut minimum_s, mut growing, mut hops_s) = (0.0, 0.0, 0.0_f64, 0.0, 0.0);
        for (n, time) in its {
            if let Some(l) = time.layers.get(i) {
                laid_s += n * l.s;
                slack_s += n * l.slack_s;
                minimum_s = minimum_s.max(l.minimum_s);
                growing += n;
                hops_s += n * time.hop_s;
            }
        }
        if growing > 0.0 {
            laid_s += hops_s / growing * (growing - 1.0);
        }
        let natural_s = factor * (laid_s + recipe.layer_change_s);
        let short_s = if laid_s > 0.0 { (minimum_s - natural_s).max(0.0) } else { 0.0 };
        let slowing_s = short_s.min(factor * slack_s);
        let left_s = short_s - slowing_s;
        let (waiting_s, unserved_s) = if recipe.wait_when_short { (left_s, 0.0) } else { (0.0, left_s) };
        total.time_s += natural_s + slowing_s + waiting_s;
        total.unserved_s += unserved_s;
    }
    total
}
