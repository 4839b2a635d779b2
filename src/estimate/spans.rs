//! A height cut into layers.

use crate::document::Recipe;

use super::fault::MOST_LAYERS;

/// One layer: where it begins and ends, and where its section is taken. Millimetres above the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerSpan {
    /// Its underside.
    pub bottom_mm: f64,
    /// Its top side.
    pub top_mm: f64,
    /// Where the section is taken: its middle, or the middle of what there is of a part lower than one layer.
    pub middle_mm: f64,
}

impl LayerSpan {
    /// Its height, mm.
    pub fn height_mm(self) -> f64 {
        self.top_mm - self.bottom_mm
    }
}

/// The span of layer `index` (from 0) of any plate of this recipe.
pub fn layer_span(recipe: &Recipe, index: usize) -> LayerSpan {
    let top_mm = recipe.first_layer_mm + index as f64 * recipe.layer_height_mm;
    let bottom_mm = if index == 0 { 0.0 } else { top_mm - recipe.layer_height_mm };
    LayerSpan { bottom_mm, top_mm, middle_mm: bottom_mm.midpoint(top_mm) }
}

/// The layers of a part `height_mm` high: every layer whose middle lies in it, and at least one where it has any height.
///
/// Empty for heights and recipes that [`super::check_recipe`] refuses; never more than [`MOST_LAYERS`].
pub fn layers(recipe: &Recipe, height_mm: f64) -> Vec<LayerSpan> {
    if !(height_mm > 0.0 && height_mm.is_finite() && super::check_recipe(recipe).is_ok()) {
        return Vec::new();
    }
    // Middles lie at first/2 and at first + (k − ½) h; 1e-6 mm forgives rounding of the part's height.
    let above = (height_mm - 1e-6 - recipe.first_layer_mm) / recipe.layer_height_mm + 0.5;
    let count = above.ceil().clamp(1.0, MOST_LAYERS as f64) as usize;
    let mut spans: Vec<LayerSpan> = (0..count).map(|i| layer_span(recipe, i)).collect();
    spans[0].middle_mm = spans[0].middle_mm.min(height_mm / 2.0);
    spans
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::RecipeId;

    #[test]
    fn counts_layers_whose_middle_is_inside() {
        let recipe = Recipe { first_layer_mm: 0.3, ..Recipe::plain(RecipeId(1)) };
        for (height, count) in
            [(0.05, 1), (0.3, 1), (0.39, 1), (0.41, 2), (0.5, 2), (20.3, 101), (20.3 + 1e-9, 101), (20.41, 102)]
        {
            assert_eq!(layers(&recipe, height).len(), count, "{height} mm");
        }
        assert_eq!(layers(&recipe, 0.05)[0].middle_mm, 0.025);
        let all = layers(&recipe, 20.3);
        assert!(all.windows(2).all(|w| (w[0].top_mm - w[1].bottom_mm).abs() < 1e-12));
        assert!((all[100].top_mm - 20.3).abs() < 1e-12);
    }

    #[test]
    fn nonsense_gives_no_layers() {
        let plain = Recipe::plain(RecipeId(1));
        for height in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert!(layers(&plain, height).is_empty());
        }
        assert!(layers(&Recipe { layer_height_mm: 0.0, ..plain.clone() }, 10.0).is_empty());
        assert_eq!(layers(&plain, 1e12).len(), MOST_LAYERS);
    }
}
