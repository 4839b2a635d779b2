//! What things derived are known by: all that makes them.

use crate::{
    document::{Copy, Job, MeshId, Part, Plate, Recipe},
    estimate,
};

/// What makes a part's outlines: mesh, body, map from the file, first layer.
pub(in crate::session) type ShapeKey = (MeshId, Option<u32>, [u64; 9], u64);

/// What makes a part's profile: its outlines' key and its recipe's numbers.
pub(in crate::session) type ProfileKey = (ShapeKey, String);

/// What makes a part's mass over height: its outlines' key and what its layers and supports are.
pub(in crate::session) type MassKey = (ShapeKey, String);

/// What makes a judgement on how firmly a part stands: its mass, its footing, and all that it is judged under.
pub(super) type StandingKey = (MassKey, &'static str, u64, String);

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
    Some((part.mesh.clone(), part.body, bits, first.to_bits()))
}

pub(super) fn linear(job: &Job, part: &Part) -> Option<[[f64; 3]; 3]> {
    Some(part.pose.linear(job.mesh(&part.mesh)?.unit.mm()))
}

pub(super) fn profile_key(job: &Job, part: &Part) -> Option<ProfileKey> {
    let recipe = estimate::profile_recipe(job.recipe(part.recipe)?);
    Some((shape_key(job, part)?, recipe_key(&recipe)))
}

pub(super) fn mass_key(job: &Job, part: &Part) -> Option<MassKey> {
    let r = job.recipe(part.recipe)?;
    let layers = serde_json::to_string(&(r.layer_height_mm, r.bead_width_mm, &r.support)).unwrap_or_default();
    Some((shape_key(job, part)?, layers))
}

/// Does a copy on a plate still stand on a footing with this key?
pub(super) fn wants_footing(job: &Job, (shape, recipe, kind, width): &FootingKey) -> bool {
    let stands = |c: &Copy| {
        let footing = job.footing(c);
        let alike = footing.kind() == *kind && footing.width_mm().to_bits() == *width;
        alike && job.part(c.part).and_then(|part| shape_key(job, part)).as_ref() == Some(shape)
    };
    let laid = |p: &&Plate| job.recipe(p.recipe).is_some_and(|r| recipe_key(r) == *recipe);
    job.plates.iter().filter(laid).any(|p| p.copies.iter().any(stands))
}

/// A recipe's numbers without its id, name and time factor: what a profile depends on.
pub(super) fn recipe_key(recipe: &Recipe) -> String {
    let nameless = Recipe { id: crate::document::RecipeId(0), name: String::new(), time_factor: 1.0, ..recipe.clone() };
    serde_json::to_string(&nameless).unwrap_or_default()
}
