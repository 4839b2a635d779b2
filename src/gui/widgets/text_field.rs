//! A field for a name.

use egui::{Align2, Ui};

use super::field::Field;

/// A text that is typed: Enter, Tab or a click elsewhere take it, Escape brings the old one back.
pub(crate) struct TextField<'a> {
    field: Field<'a>,
    value: &'a str,
    hint: &'a str,
    check: fn(&str) -> Result<(), String>,
}

impl<'a> TextField<'a> {
    /// A field with an accessible name.
    pub(crate) fn new(name: &'a str, value: &'a str) -> Self {
        Self { field: Field::new(name), value, hint: "", check: |_| Ok(()) }
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.field.width = width;
        self
    }
    /// Whose text it is.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.field.salt = egui::IdSalt::new(whose);
        self
    }
    /// Shown while nothing is typed.
    pub(crate) fn hint(mut self, hint: &'a str) -> Self {
        self.hint = hint;
        self
    }
    /// Which texts are taken; of others, why not.
    pub(crate) fn check(mut self, check: fn(&str) -> Result<(), String>) -> Self {
        self.check = check;
        self
    }
    /// Shows it; the new text once it is taken and differs from the old one.
    pub(crate) fn show(self, ui: &mut Ui) -> Option<String> {
        let (field, hint) = (self.field, self.hint);
        let id = field.id(ui);
        let edit = |ui: &mut Ui, text: &mut String, _| {
            ui.add(field.editor(id, text).hint_text(hint.to_owned()).align(Align2::LEFT_CENTER))
        };
        field.edit(ui, self.value, &self.check, edit).taken
    }
}
