//! Where a minimum layer time comes from and what it assumes, in words.

use super::{FIN_SHARE, PART_DIAMETER_MM, film_w_m2_k, single_bead_thickness_mm};
use crate::document::{Fan, LayerFloor, Material, Recipe};

/// What every time from the material leaves out. Radiation: 4 ε σ T³ between 80 °C and a room, ε 0.8 (textbook, from memory).
const LEFT_OUT: &str = "every layer is taken as solid, whatever its infill: sparse layers hold less heat and are ready sooner; radiation, about 6 W/(m² K) at 80 °C, is not counted unless the heat transfer includes it; heat from the nozzle as it passes over finished layers is not counted";

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
        "air around the part at {:.0} °C, as in the chamber; the first millimetres over a hot bed cool slower, which is not modelled; {}",
        material.air_c,
        film_words(material)
    );
    let (form, assumes) = match recipe.floor {
        LayerFloor::None => ("none", "no minimum is set".to_owned()),
        LayerFloor::Typed { seconds } => ("typed", format!("{seconds} s for every layer")),
        LayerFloor::Material => (
            "from material",
            format!(
                "cooled from above only, whatever the layer's size: conservative for parts under about 20 mm, optimistic for larger ones; a wall of one bead also cools from both sides and is ready in {:.2} of that time, which is not counted; {LEFT_OUT}; {air}",
                single_bead_thickness_mm(recipe.bead_width_mm, recipe.layer_height_mm) / recipe.layer_height_mm
            ),
        ),
        LayerFloor::MaterialBySize => (
            "from material and size",
            format!(
                "{FIN_SHARE} of the layer time of a steadily growing prism with the area and perimeter of the layer's bulkiest island; islands do not warm each other; checked against simulations of solid squares 5 to 50 mm wide in layers of 0.2 and 0.3 mm only, which lie at 0.82 to 1.12 of it; \
                 {LEFT_OUT}; {air}"
            ),
        ),
    };
    FloorWords { form, assumes }
}

/// Where the heat transfer comes from: "heat transfer of 33 W/(m² K), an assumption: …".
pub fn film_words(material: &Material) -> String {
    let film = film_w_m2_k(material);
    match material.fan.air_m_s() {
        None => format!("heat transfer of {film} W/(m² K), as typed"),
        Some(air_m_s) => {
            let fan = if material.fan == Fan::Off { "no part fan" } else { material.fan.word() };
            format!(
                "heat transfer of {film:.0} W/(m² K), an assumption: {fan}, air at {air_m_s} m/s across a cylinder \
                 {PART_DIAMETER_MM} mm wide (Churchill & Bernstein 1977)"
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{document::RecipeId, estimate::fixtures::pla};

    #[test]
    fn every_form_says_what_it_assumes() {
        let of = |floor| floor_words(&pla(), &Recipe { floor, ..Recipe::plain(RecipeId(1)) });
        assert_eq!(of(LayerFloor::Typed { seconds: 9.5 }).assumes, "9.5 s for every layer");
        let simple = of(LayerFloor::Material).assumes;
        assert!(simple.contains("conservative for parts under about 20 mm, optimistic for larger ones"), "{simple}");
        // w/(w + 2 h) with beads of 0.45 × 0.2 mm.
        assert!(simple.contains("one bead also cools from both sides and is ready in 0.53 of that time"), "{simple}");
        assert!(simple.contains("50 W/(m² K), as typed"), "{simple}");
        let light = film_words(&Material { fan: Fan::Light, ..pla() });
        assert!(light.contains("an assumption: light fan, air at 1 m/s across a cylinder 10 mm wide"), "{light}");
        let by_size = of(LayerFloor::MaterialBySize).assumes;
        assert!(by_size.contains("0.65 of the layer time") && by_size.contains("squares 5 to 50 mm wide"), "{by_size}");
        for words in [simple, by_size] {
            for what in ["25 °C", "hot bed", "infill", "radiation", "nozzle"] {
                assert!(words.contains(what), "{what} is not in: {words}");
            }
        }
    }
}
