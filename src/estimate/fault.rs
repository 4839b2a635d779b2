//! What is wrong with the numbers an estimate is made from.

use crate::document::{
    Machine, Material, Recipe,
    limits::{self, Allowed, Number},
};

/// A number that no estimate can be made from. Its text names the number and says what it has to be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecipeFault {
    /// A number outside what any machine can do, or not a number at all.
    #[error("{what} is {value} {unit}; it must be between {least} and {most}")]
    OutOfRange {
        /// Which number, in words.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least value allowed.
        least: f64,
        /// Greatest value allowed.
        most: f64,
    },
    /// A bead cannot be higher than it is wide.
    #[error(
        "the {which} is {height_mm} mm high but a bead is only {width_mm} mm wide: take thinner layers or a wider bead"
    )]
    LayerAboveBead {
        /// "layer" or "first layer".
        which: &'static str,
        /// Height of the layer.
        height_mm: f64,
        /// Width of a bead.
        width_mm: f64,
    },
    /// The air is as hot as the material may be: no layer ever cools enough.
    #[error(
        "{material} must cool to {limit_c} °C but the air around it is at {air_c} °C: no layer would ever be ready"
    )]
    NeverCools {
        /// Name of the material.
        material: String,
        /// Its limit.
        limit_c: f64,
        /// The air.
        air_c: f64,
    },
}

/// Greatest number of layers of one plate.
pub const MOST_LAYERS: usize = 200_000;

fn numbers<T>(thing: &T, table: &[Number<T>]) -> Result<(), RecipeFault> {
    for n in table {
        let Allowed { name: what, unit, least, most } = n.allowed;
        if let Some(value) = (n.value)(thing).filter(|v| !n.allowed.holds(*v)) {
            return Err(RecipeFault::OutOfRange { what, value, unit, least, most });
        }
    }
    Ok(())
}

/// Checks a recipe: after this no time is NaN, infinite or negative, and nothing hangs.
///
/// # Errors
/// The first number that is out of range, see [`RecipeFault`]. The ranges are far wider than any machine's.
pub fn check_recipe(r: &Recipe) -> Result<(), RecipeFault> {
    numbers(r, limits::RECIPE)?;
    for (which, height_mm) in [("layer", r.layer_height_mm), ("first layer", r.first_layer_mm)] {
        if height_mm > r.bead_width_mm {
            return Err(RecipeFault::LayerAboveBead { which, height_mm, width_mm: r.bead_width_mm });
        }
    }
    Ok(())
}

/// Checks a material.
///
/// # Errors
/// The first number that is out of range, or a limit temperature that the air never reaches.
pub fn check_material(m: &Material) -> Result<(), RecipeFault> {
    numbers(m, limits::MATERIAL)?;
    if m.limit_c <= m.air_c {
        return Err(RecipeFault::NeverCools { material: m.name.clone(), limit_c: m.limit_c, air_c: m.air_c });
    }
    Ok(())
}

/// Checks what an estimate needs of a machine.
///
/// # Errors
/// The first number that is out of range.
pub fn check_machine(m: &Machine) -> Result<(), RecipeFault> {
    numbers(m, limits::MACHINE)
}
