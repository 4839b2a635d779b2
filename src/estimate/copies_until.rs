//! How many copies of a part must grow together until no layer is slowed.

use crate::document::{Machine, Material, Recipe};

use super::{PlateCopy, PlateEstimate, PlateInput, Tour, pace::Pace, plate};

/// How many copies of a part must grow together until layers are no longer slowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CopiesUntil {
    /// On every layer.
    pub every_layer: u32,
    /// On all but the worst twentieth of the layers.
    pub nearly_every_layer: u32,
}

impl CopiesUntil {
    /// What the numbers assume.
    pub const ASSUMES: &'static str = "Number of copies of this part alone on a plate, side by side at the gap, from which no layer is slowed. Moves between copies and their footings are counted, a skirt is not. Where a plate holds this part alone, the number agrees with its estimate";
    /// "5 copies"; "40 copies, 6 for all but one layer in twenty".
    pub fn words(self) -> String {
        let copies = |n: u32| crate::words::copies(n as usize);
        let all = copies(self.every_layer);
        if self.nearly_every_layer == self.every_layer {
            all
        } else {
            format!("{all}, {} for all but one layer in twenty", self.nearly_every_layer)
        }
    }
    /// The number as plates of copies of this part alone show it: with more copies than a plate that is still slowed, and no more
    /// than one that is not. Plates that contradict each other (copies far apart on the one) leave the greater number.
    #[must_use]
    pub fn agreeing_with<'a>(self, plates: impl Iterator<Item = &'a PlateEstimate>) -> Self {
        let mut told = self;
        let mut at_least = Self { every_layer: 1, nearly_every_layer: 1 };
        for e in plates {
            let copies = e.layers.first().map_or(0, |l| l.copies.len()) as u32;
            let laid = e.layers.iter().filter(|l| l.minimum_s.is_some()).count();
            let short = e.layers.iter().filter(|l| l.headroom.is_some_and(|h| h < 1.0 - 1e-9)).count();
            for (served, least, number) in [
                (short == 0, &mut at_least.every_layer, &mut told.every_layer),
                (short <= laid / 20, &mut at_least.nearly_every_layer, &mut told.nearly_every_layer),
            ] {
                if copies > 0 && served {
                    *number = copies.min(*number);
                } else {
                    *least = (copies + 1).max(*least);
                }
            }
        }
        let every_layer = told.every_layer.max(at_least.every_layer);
        let nearly_every_layer = told.nearly_every_layer.max(at_least.nearly_every_layer).min(every_layer);
        Self { every_layer, nearly_every_layer }
    }
}

/// The number of copies at which slowing ends; `None` where no minimum is set, nothing is laid or the numbers make no sense.
///
/// A plate of one copy is estimated. Each further copy adds what the first lays, on each layer, and one move of `pitch_mm` with its
/// retraction; the layer change and the move from layer to layer stay one. That is what [`plate()`] makes of a row or block of copies
/// `pitch_mm` apart.
pub fn copies_until_slowing_ends(
    one: &PlateCopy,
    pitch_mm: f64,
    machine: &Machine,
    material: &Material,
    recipe: &Recipe,
) -> Option<CopiesUntil> {
    let recipe = &Recipe { skirt_loops: 0, ..recipe.clone() };
    let copies = std::slice::from_ref(one);
    let alone = plate(&PlateInput { machine, material, recipe, copies }, Tour::Exact).ok()?;
    let pace = Pace::new(recipe, false).ok()?;
    let move_s = pace.move_s(pitch_mm);
    let once_s = recipe.time_factor * recipe.layer_change_s;
    let mut needed: Vec<u32> = alone
        .layers
        .iter()
        .zip(&alone.arrivals_s)
        .filter_map(|(l, arrival_s)| {
            let short_s = l.minimum_s? - l.natural_s;
            let each_s = l.natural_s - once_s - arrival_s + recipe.time_factor * move_s;
            Some(1 + further_copies(short_s, each_s))
        })
        .collect();
    let nearly_every_layer = all_but_a_twentieth(&mut needed)?;
    Some(CopiesUntil { every_layer: *needed.last()?, nearly_every_layer })
}

/// How many copies that add so much each make up for what is missing.
pub(super) fn further_copies(short_s: f64, each_s: f64) -> u32 {
    // 1e-9 forgives rounding where a whole number of copies just serves.
    (short_s / each_s - 1e-9).ceil().max(0.0) as u32
}

/// The greatest of these but for the worst twentieth; they are put in order.
pub(super) fn all_but_a_twentieth(needed: &mut [u32]) -> Option<u32> {
    needed.sort_unstable();
    needed.get((needed.len() * 19).div_ceil(20).saturating_sub(1)).copied()
}
