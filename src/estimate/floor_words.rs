//! Where a minimum layer time comes from and what it assumes, in words.

use crate::document::{LayerFloor, Material, Recipe};

/// How a minimum layer time is found, for the window, `estimate` and its JSON.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FloorWords {
    /// "none", "typed", "from material", "from material and size".
    pub form: &'static str,
    /// What it assumes, one sentence.
    pub assumes: String,
}

/// Form and assumption of a recipe's minimum layer time.
pub fn floor_words(material: &Material, recipe: &Recipe) -> FloorWords {
    let air = format!(
        "air of {:.0} °C round it, as in the chamber; the first millimetres over a hot bed cool slower and are not \
         modelled",
        material.air_c
    );
    let (form, assumes) = match recipe.floor {
        LayerFloor::None => ("none", "no layer is held to any time".to_owned()),
        LayerFloor::Typed { seconds } => ("typed", format!("{seconds} s for every layer, whatever is on it")),
        LayerFloor::Material => (
            "from material",
            format!(
                "cooled from above alone, whatever its size: conservative for parts under about 20 mm, optimistic \
                 above; {air}"
            ),
        ),
        LayerFloor::MaterialBySize => (
            "from material and size",
            format!(
                "0.65 of the time at which a prism grows steadily that has area and perimeter of the layer's bulkiest \
                 island: islands do not warm each other; simulations lie at 0.82 to 1.12 of it; {air}"
            ),
        ),
    };
    FloorWords { form, assumes }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{document::RecipeId, estimate::fixtures::pla};

    #[test]
    fn every_form_says_what_it_assumes() {
        let of = |floor| floor_words(&pla(), &Recipe { floor, ..Recipe::plain(RecipeId(1)) });
        assert_eq!(of(LayerFloor::Typed { seconds: 9.5 }).assumes, "9.5 s for every layer, whatever is on it");
        let simple = of(LayerFloor::Material).assumes;
        assert!(simple.contains("conservative for parts under about 20 mm, optimistic above"), "{simple}");
        for floor in [LayerFloor::Material, LayerFloor::MaterialBySize] {
            let words = of(floor).assumes;
            assert!(words.contains("25 °C") && words.contains("hot bed"), "{words}");
        }
    }
}
