//! Time factors by recipe and machine.

use std::collections::BTreeMap;

use super::time_factor::{FactorPrior, TimeFactor};
use crate::document::{MachineId, PlateOutcome, RecipeId};

/// A time factor of a recipe: on one machine, or on all.
#[derive(Debug, Clone, PartialEq)]
pub struct TimeRow {
    /// The recipe.
    pub recipe: RecipeId,
    /// Its name when it was tallied last.
    pub recipe_name: String,
    /// The machine; `None` for all of them.
    pub machine: Option<MachineId>,
    /// Its name when it was tallied last.
    pub machine_name: Option<String>,
    /// The factor, at a time factor of 1.
    pub factor: TimeFactor,
}

/// Ratios of plates by recipe and machine, in the order in which they were tallied. Plates lost at once are left out: they were ended early.
pub(super) fn by_recipe_and_machine(outcomes: &[PlateOutcome]) -> BTreeMap<(RecipeId, MachineId), Vec<f64>> {
    let mut all: BTreeMap<_, Vec<f64>> = BTreeMap::new();
    for o in outcomes.iter().filter(|o| !o.is_spoilt()) {
        if let Some(ratio) = o.time_ratio() {
            all.entry((o.recipe, o.machine)).or_default().push(ratio);
        }
    }
    all
}

/// A row for each recipe on all machines, followed by its machines where there are several.
pub(super) fn rows(outcomes: &[PlateOutcome]) -> Vec<TimeRow> {
    let ratios = by_recipe_and_machine(outcomes);
    let mut recipes: BTreeMap<RecipeId, Vec<(MachineId, &Vec<f64>)>> = BTreeMap::new();
    for ((recipe, machine), own) in &ratios {
        recipes.entry(*recipe).or_default().push((*machine, own));
    }
    let recipe_name = |id| outcomes.iter().rev().find(|o| o.recipe == id).map_or("", |o| o.recipe_name.as_str());
    let machine_name = |id| outcomes.iter().rev().find(|o| o.machine == id).map(|o| o.machine_name.clone());
    let mut all = Vec::new();
    for (recipe, machines) in recipes {
        let mut push = |machine: Option<MachineId>, ratios: &[f64]| {
            let Some(factor) = TimeFactor::of(ratios, FactorPrior::STATED) else { return };
            let (recipe_name, machine_name) = (recipe_name(recipe).to_owned(), machine.and_then(machine_name));
            all.push(TimeRow { recipe, recipe_name, machine, machine_name, factor });
        };
        let together: Vec<f64> = machines.iter().flat_map(|(_, own)| own.iter().copied()).collect();
        push(None, &together);
        for (machine, own) in machines {
            push(Some(machine), own);
        }
    }
    all
}
