//! Plates.

use serde::{Deserialize, Serialize};

use super::{Copy, MachineId, MaterialId, PlateId, RecipeId, RunState, SpoolId, Twin};

/// One plate: one machine, one material and colour, one recipe.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plate {
    /// Its id in the job; its number is its place in [`super::Job::plates`], from 1.
    pub id: PlateId,
    /// Its machine.
    pub machine: MachineId,
    /// Its material.
    pub material: MaterialId,
    /// Its colour, in the shop's words.
    pub colour: String,
    /// Its recipe.
    pub recipe: RecipeId,
    /// The spool it is made from, where one is chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spool: Option<SpoolId>,
    /// How two carriages print it twice at once; the copies are those of the left half. `None` for once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twin: Option<Twin>,
    /// The spool of the second carriage, where it is printed twice at once and one is chosen.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twin_spool: Option<SpoolId>,
    /// How far it is in the shop.
    #[serde(default, skip_serializing_if = "RunState::is_plain")]
    pub run: RunState,
    /// What lies on it.
    pub copies: Vec<Copy>,
}
