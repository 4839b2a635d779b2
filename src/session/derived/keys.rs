//! What things derived are known by: all that makes them.

use std::collections::{BTreeMap, BTreeSet, btree_map::Entry};

use crate::{
    document::{Job, MeshId, Part, PartId, Recipe, RecipeId},
    estimate,
};

/// What a part is of its mesh: the body, and its mends with the file's unit as JSON, empty where there are none.
pub(in crate::session) type SolidKey = (Option<u32>, String);

/// What makes a mended mesh.
pub(in crate::session) type MendKey = (MeshId, SolidKey);

/// What makes a part's outlines: mesh, body and mends, map from the file, first layer.
pub(in crate::session) type ShapeKey = (MeshId, SolidKey, [u64; 9], u64);

/// What makes a part's profile: its outlines' key and its recipe's numbers.
pub(in crate::session) type ProfileKey = (ShapeKey, String);

/// What makes a part's mass over height: its outlines' key and what its layers and supports are.
pub(in crate::session) type MassKey = (ShapeKey, String);

/// What makes the ranking of a part's poses: its outlines' key and all that it is judged under.
pub(in crate::session) type PosesKey = (ShapeKey, String);

/// What makes a judgement on how firmly a part stands: its mass, its footing, and all that it is judged under.
pub(in crate::session) type StandingKey = (MassKey, &'static str, u64, String);

/// What makes a footing's profile.
pub(super) type FootingKey = (ShapeKey, String, &'static str, u64);

/// Key of a part's outlines.
pub(in crate::session) fn shape_key(job: &Job, part: &Part) -> Option<ShapeKey> {
    let linear = linear(job, part)?;
    let first = job.recipe(part.recipe)?.first_layer_mm;
    let mut bits = [0; 9];
    for (b, v) in bits.iter_mut().zip(linear.iter().flatten()) {
        *b = (v + 0.0).to_bits();
    }
    Some((part.mesh.clone(), solid_key(job, part), bits, first.to_bits()))
}

fn solid_key(job: &Job, part: &Part) -> SolidKey {
    let unit = job.mesh(&part.mesh).map(|m| m.unit);
    let mends = || serde_json::to_string(&(&part.mends, unit)).unwrap_or_default();
    (part.body, if part.mends.is_empty() { String::new() } else { mends() })
}

/// Key of a part's mended mesh; `None` where nothing is mended.
pub(in crate::session) fn mend_key(job: &Job, part: &Part) -> Option<MendKey> {
    (!part.mends.is_empty()).then(|| (part.mesh.clone(), solid_key(job, part)))
}

pub(super) fn linear(job: &Job, part: &Part) -> Option<[[f64; 3]; 3]> {
    Some(part.pose.linear(job.mesh(&part.mesh)?.unit.mm()))
}

pub(in crate::session) fn profile_key(job: &Job, part: &Part) -> Option<ProfileKey> {
    let recipe = estimate::profile_recipe(job.recipe(part.recipe)?);
    Some((shape_key(job, part)?, recipe_key(&recipe)))
}

pub(in crate::session) fn mass_key(job: &Job, part: &Part) -> Option<MassKey> {
    let r = job.recipe(part.recipe)?;
    let layers = serde_json::to_string(&(r.layer_height_mm, r.bead_width_mm, &r.support)).unwrap_or_default();
    Some((shape_key(job, part)?, layers))
}

/// Keys of the footings on which copies stand.
pub(super) fn wanted_footings(job: &Job) -> BTreeSet<FootingKey> {
    // Copies are many, and most of them alike.
    let mut alike: BTreeSet<(PartId, RecipeId, &'static str, u64)> = BTreeSet::new();
    for plate in &job.plates {
        for copy in &plate.copies {
            let footing = job.footing(copy);
            alike.insert((copy.part, plate.recipe, footing.kind(), footing.width_mm().to_bits()));
        }
    }
    let mut recipes: BTreeMap<RecipeId, String> = BTreeMap::new();
    let mut key = |(part, recipe, kind, width): (PartId, RecipeId, &'static str, u64)| {
        let shape = shape_key(job, job.part(part)?)?;
        let recipe = match recipes.entry(recipe) {
            Entry::Occupied(known) => known.get().clone(),
            Entry::Vacant(new) => new.insert(recipe_key(job.recipe(recipe)?)).clone(),
        };
        Some((shape, recipe, kind, width))
    };
    alike.into_iter().filter_map(&mut key).collect()
}

/// A recipe's numbers without its id, name and time factor: what a profile depends on.
pub(super) fn recipe_key(recipe: &Recipe) -> String {
    let nameless = Recipe { id: RecipeId(0), name: String::new(), time_factor: 1.0, ..recipe.clone() };
    serde_json::to_string(&nameless).unwrap_or_default()
}
