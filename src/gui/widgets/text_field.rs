//! A field for a name.

use egui::{Align2, IdSalt, Key, TextEdit, Ui, Vec2};

use super::number_field::select_all;
use crate::gui::theme::size;

/// A text that is typed: Enter, Tab or a click elsewhere take it, Escape brings the old one back.
pub(crate) struct TextField<'a> {
    name: &'a str,
    value: &'a str,
    width: f32,
    salt: IdSalt,
    hint: &'a str,
}

impl<'a> TextField<'a> {
    /// A field with an accessible name.
    pub(crate) fn new(name: &'a str, value: &'a str) -> Self {
        Self { name, value, width: size::FIELD_WIDTH, salt: IdSalt::new(()), hint: "" }
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.width = width;
        self
    }
    /// Whose text it is.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.salt = IdSalt::new(whose);
        self
    }
    /// Shown while nothing is typed.
    pub(crate) fn hint(mut self, hint: &'a str) -> Self {
        self.hint = hint;
        self
    }
    /// Shows it; the new text once it is taken and differs from the old one.
    pub(crate) fn show(self, ui: &mut Ui) -> Option<String> {
        let id = ui.scope_id().with(self.salt).with(self.name);
        let typed: Option<String> = ui.data(|d| d.get_temp(id));
        let focused = ui.memory(|m| m.has_focus(id));
        let mut text = typed.unwrap_or_else(|| self.value.to_owned());
        let response = ui.add(
            TextEdit::singleline(&mut text)
                .id(id)
                .hint_text(self.hint.to_owned())
                .align(Align2::RIGHT_CENTER)
                .desired_width(self.width - 12.0)
                .min_size(Vec2::new(self.width, size::FIELD))
                .margin(egui::Margin::symmetric(6, 1)),
        );
        response.ctx.accesskit_node_builder(id, |node| node.set_label(self.name));
        if response.gained_focus() {
            select_all(ui, id, &text);
        }
        if focused || response.gained_focus() {
            ui.data_mut(|d| d.insert_temp(id, text.clone()));
        }
        if response.lost_focus() {
            ui.data_mut(|d| d.remove::<String>(id));
            let abandoned = ui.input(|i| i.key_pressed(Key::Escape));
            return (!abandoned && text != self.value).then_some(text);
        }
        None
    }
}
