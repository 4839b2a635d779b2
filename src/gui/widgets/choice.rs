//! One of a few.

use egui::{ComboBox, IdSalt, Key, Ui};

use super::field::Field;

/// A field that shows one of a few choices and drops down to offer the others.
pub(crate) struct Choice<'a> {
    field: Field<'a>,
    current: String,
}

impl<'a> Choice<'a> {
    /// A choice with an accessible name and what is chosen now.
    pub(crate) fn new(name: &'a str, current: impl Into<String>) -> Self {
        Self { field: Field::new(name), current: current.into() }
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.field.width = width;
        self
    }
    /// Whose choice it is.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.field.salt = IdSalt::new(whose);
        self
    }
    /// Without a frame, for lines that are ruled.
    pub(crate) fn ruled(mut self) -> Self {
        self.field.boxed = false;
        self
    }
    /// What it means, shown when the pointer rests on it.
    pub(crate) fn tooltip(mut self, text: &'a str) -> Self {
        self.field.tooltip = text;
        self
    }
    /// Shows it with these choices; the one that was picked, if another than now. Enter on a choice takes it, Escape
    /// leaves all as it was; both give the keyboard back to the field.
    pub(crate) fn show<T: Clone>(self, ui: &mut Ui, choices: impl IntoIterator<Item = (T, String)>) -> Option<T> {
        let field = self.field;
        let (mut picked, mut closed) = (None, false);
        let response = ui
            .scope(|ui| {
                field.dress(ui);
                ComboBox::from_id_salt((field.salt, field.name))
                    .selected_text(self.current.as_str())
                    .width(field.width)
                    .truncate()
                    .show_ui(ui, |ui| {
                        for (value, word) in choices {
                            let now = word == self.current;
                            if ui.selectable_label(now, word).clicked() {
                                closed = true;
                                ui.close();
                                picked = (!now).then_some(value);
                            }
                        }
                        closed |= ui.input(|i| i.key_pressed(Key::Escape));
                    })
                    .response
            })
            .inner;
        let response = response.accessible_name(field.name);
        if closed {
            response.request_focus();
        }
        if response.gained_focus() {
            response.scroll_to_me(None);
        }
        if !field.tooltip.is_empty() {
            response.on_hover_text(field.tooltip);
        }
        picked
    }
}
