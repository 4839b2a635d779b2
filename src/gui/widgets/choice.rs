//! One of a few.

use egui::{ComboBox, IdSalt, Ui};

use crate::gui::theme::size;

/// A field that shows one of a few choices and drops down to offer the others.
pub(crate) struct Choice<'a> {
    name: &'a str,
    current: String,
    width: f32,
    salt: IdSalt,
}

impl<'a> Choice<'a> {
    /// A choice with an accessible name and what is chosen now.
    pub(crate) fn new(name: &'a str, current: impl Into<String>) -> Self {
        Self { name, current: current.into(), width: size::FIELD_WIDTH, salt: IdSalt::new(()) }
    }
    /// Width in points.
    pub(crate) fn width(mut self, width: f32) -> Self {
        self.width = width;
        self
    }
    /// Whose choice it is.
    pub(crate) fn of(mut self, whose: impl egui::AsIdSalt) -> Self {
        self.salt = IdSalt::new(whose);
        self
    }
    /// Shows it with these choices; the one that was picked, if another than now.
    pub(crate) fn show<T: Clone>(self, ui: &mut Ui, choices: impl IntoIterator<Item = (T, String)>) -> Option<T> {
        let mut picked = None;
        let response = ComboBox::from_id_salt((self.salt, self.name))
            .selected_text(self.current.as_str())
            .width(self.width)
            .truncate()
            .show_ui(ui, |ui| {
                for (value, word) in choices {
                    let now = word == self.current;
                    if ui.selectable_label(now, word).clicked() && !now {
                        picked = Some(value);
                    }
                }
            })
            .response;
        response.accessible_name(self.name);
        picked
    }
}
