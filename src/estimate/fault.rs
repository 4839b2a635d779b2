//! What is wrong with the numbers an estimate is made from.

use crate::document::{LayerFloor, Machine, Material, Recipe};

/// A number that no estimate can be made from. Its text names the number and says what it has to be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RecipeFault {
    /// A number outside what any machine can do, or not a number at all.
    #[error("{what} is {value} {unit}; it has to lie between {least} and {most}")]
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
    #[error("{material} must cool to {limit_c} °C but the air round it is at {air_c} °C: no layer would ever be ready")]
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

fn within(what: &'static str, value: f64, unit: &'static str, least: f64, most: f64) -> Result<(), RecipeFault> {
    // Written so that NaN fails too.
    if value >= least && value <= most {
        Ok(())
    } else {
        Err(RecipeFault::OutOfRange { what, value, unit, least, most })
    }
}

/// Checks a recipe: after this no time is NaN, infinite or negative, and nothing hangs.
///
/// # Errors
/// The first number that is out of range, see [`RecipeFault`]. The ranges are far wider than any machine's.
pub fn check_recipe(r: &Recipe) -> Result<(), RecipeFault> {
    within("layer height", r.layer_height_mm, "mm", 0.01, 10.0)?;
    within("first layer height", r.first_layer_mm, "mm", 0.01, 10.0)?;
    within("bead width", r.bead_width_mm, "mm", 0.05, 20.0)?;
    for (which, height_mm) in [("layer", r.layer_height_mm), ("first layer", r.first_layer_mm)] {
        if height_mm > r.bead_width_mm {
            return Err(RecipeFault::LayerAboveBead { which, height_mm, width_mm: r.bead_width_mm });
        }
    }
    within("infill density", r.infill, "(1 is solid)", 0.0, 1.0)?;
    for (what, value) in [
        ("wall speed", r.wall_mm_s),
        ("solid layer speed", r.solid_mm_s),
        ("infill speed", r.infill_mm_s),
        ("travel speed", r.travel_mm_s),
        ("first layer speed", r.first_layer_mm_s),
        ("least speed", r.least_mm_s),
        ("retraction speed", r.retraction_mm_s),
    ] {
        within(what, value, "mm/s", 0.1, 10_000.0)?;
    }
    within("acceleration", r.acceleration_mm_s2, "mm/s²", 1.0, 1e6)?;
    within("travel acceleration", r.travel_acceleration_mm_s2, "mm/s²", 1.0, 1e6)?;
    within("junction deviation", r.junction_deviation_mm, "mm", 0.0, 10.0)?;
    within("largest flow", r.flow_mm3_s, "mm³/s", 0.01, 1e5)?;
    within("retraction", r.retraction_mm, "mm", 0.0, 100.0)?;
    within("time of a layer change", r.layer_change_s, "s", 0.0, 3600.0)?;
    within("skirt gap", r.skirt_gap_mm, "mm", 0.0, 1000.0)?;
    within("purge", r.purge_mm3, "mm³", 0.0, 1e6)?;
    within("time factor", r.time_factor, "", 0.01, 100.0)?;
    for (what, count) in [
        ("number of walls", r.walls),
        ("number of skirt loops", r.skirt_loops),
        ("number of raft layers", r.raft_layers),
    ] {
        within(what, f64::from(count), "", 0.0, 1000.0)?;
    }
    if let Some(s) = r.support {
        within("overhang angle", s.overhang_deg, "° from the vertical", 0.0, 89.0)?;
        within("support density", s.density, "(1 is solid)", 0.0, 1.0)?;
    }
    if let LayerFloor::Typed { seconds } = r.floor {
        within("minimum layer time", seconds, "s", 0.0, 86_400.0)?;
    }
    Ok(())
}

/// Checks a material.
///
/// # Errors
/// The first number that is out of range, or a limit temperature that the air never reaches.
pub fn check_material(m: &Material) -> Result<(), RecipeFault> {
    within("density", m.density_g_cm3, "g/cm³", 0.05, 25.0)?;
    within("heat capacity", m.heat_capacity_j_kg_k, "J/(kg K)", 10.0, 20_000.0)?;
    within("conductivity", m.conductivity_w_m_k, "W/(m K)", 0.001, 500.0)?;
    within("deposit temperature", m.deposit_c, "°C", -50.0, 1000.0)?;
    within("limit temperature", m.limit_c, "°C", -50.0, 1000.0)?;
    within("air temperature", m.air_c, "°C", -50.0, 500.0)?;
    within("heat transfer", m.film_w_m2_k, "W/(m² K)", 0.1, 100_000.0)?;
    within("cost per kilogram", m.cost_per_kg, "", 0.0, 1e9)?;
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
    within("filament diameter", m.filament_mm, "mm", 0.1, 20.0)?;
    within("heat-up time", m.heat_up_s, "s", 0.0, 1e6)?;
    within("end time", m.end_s, "s", 0.0, 1e6)
}
