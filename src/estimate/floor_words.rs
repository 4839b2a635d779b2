//! Where a minimum layer time comes from and what it assumes, in words.

use super::{FIN_SHARE, single_bead_thickness_mm};
use crate::document::{LayerFloor, Material, Recipe};

/// What every time from the material leaves out. Radiation: 4 ε σ T³ between 80 °C and a room, ε 0.8 (textbook, from memory).
const LEFT_OUT: &str = "layers count as solid, whatever the infill: sparse ones hold less heat and are ready sooner; \
                        radiation, some 6 W/(m² K) at 80 °C, is left out unless the heat transfer has it in; what the \
                        nozzle gives back to layers it passes over is left out too";

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
                 above; a wall of one bead, cooled from both sides too, would be ready in {:.2} of it, which \
                 is not counted; {LEFT_OUT}; {air}",
                single_bead_thickness_mm(recipe.bead_width_mm, recipe.layer_height_mm) / recipe.layer_height_mm
            ),
        ),
        LayerFloor::MaterialBySize => (
            "from material and size",
            format!(
                "{FIN_SHARE} of the time at which a prism grows steadily that has area and perimeter of the layer's \
                 bulkiest island: islands do not warm each other; simulations of solid squares 5 to 50 mm wide, in \
                 layers of 0.2 and 0.3 mm, lie at 0.82 to 1.12 of it, and beyond these nothing was held against it; \
                 {LEFT_OUT}; {air}"
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
        // w/(w + 2 h) with beads of 0.45 × 0.2 mm.
        assert!(simple.contains("one bead, cooled from both sides too, would be ready in 0.53 of it"), "{simple}");
        let by_size = of(LayerFloor::MaterialBySize).assumes;
        assert!(by_size.contains("0.65 of the time") && by_size.contains("squares 5 to 50 mm wide"), "{by_size}");
        for words in [simple, by_size] {
            for what in ["25 °C", "hot bed", "infill", "radiation", "nozzle"] {
                assert!(words.contains(what), "{what} is not in: {words}");
            }
        }
    }
}
