//! Lines that particulars share: a name or a word that is typed, one of the job's things by its name.

use egui::{AsIdSalt, Ui};

use crate::{
    document::{Job, MaterialId, RecipeId},
    gui::{
        theme::size,
        widgets::{Choice, Rule, TextField, line},
    },
};

/// A word that is typed; `name` is how the field is called, where its line's `label` is too short for that.
pub(super) fn word(ui: &mut Ui, label: &str, name: &str, whose: impl AsIdSalt, text: &mut String) {
    line(ui, label, Rule::None, |ui| {
        if let Some(new) = TextField::new(name, text).width(size::NAME_WIDTH).of(whose).show(ui) {
            *text = new;
        }
    });
}

/// One of the job's things, chosen by its name.
pub(super) fn one_of<'a, T: Copy + PartialEq>(
    ui: &mut Ui,
    label: &str,
    whose: impl AsIdSalt,
    chosen: &mut T,
    all: impl Iterator<Item = (T, &'a str)> + Clone,
) {
    line(ui, label, Rule::None, |ui| {
        let now = all.clone().find(|(id, _)| id == chosen).map_or("?", |(_, name)| name);
        let choices = all.map(|(id, name)| (id, name.to_owned()));
        if let Some(id) = Choice::new(label, now).width(size::NAME_WIDTH).of(whose).show(ui, choices) {
            *chosen = id;
        }
    });
}

/// Material, colour and recipe.
pub(super) fn made_of(
    ui: &mut Ui,
    job: &Job,
    whose: impl AsIdSalt + Copy,
    (material, colour, recipe): (&mut MaterialId, &mut String, &mut RecipeId),
) {
    one_of(ui, "material", whose, material, job.materials.iter().map(|m| (m.id, m.name.as_str())));
    word(ui, "colour", "colour", whose, colour);
    one_of(ui, "recipe", whose, recipe, job.recipes.iter().map(|r| (r.id, r.name.as_str())));
}
