//! What comes of a question over the window, and the buttons that answer it.

use egui::{RichText, Ui};

use super::{lies_over::Over, theme, typed_path::TypedPath};
use crate::session::Action;

/// What came of it.
pub(super) enum Outcome {
    /// It stays.
    Open(Over),
    /// It is done with.
    Closed,
    /// Done with, and what was to follow still follows.
    Answered,
    /// A path was typed for this; where that fails, the question stays.
    Typed(TypedPath, Action),
    /// Done with, and the window may close or the next job come without saving.
    GiveUp(Action),
    /// Done with: save first, then this.
    SaveThen(Action),
}

/// Buttons in a row; the number of the one pressed. The first is taken by Enter.
pub(super) fn buttons(ui: &mut Ui, names: &[&str]) -> Option<usize> {
    ui.add_space(12.0);
    let mut pressed = None;
    ui.horizontal(|ui| {
        for (i, name) in names.iter().enumerate() {
            let text = if i == 0 { theme::strong(*name) } else { RichText::new(*name) };
            let response = ui.add(egui::Button::new(text));
            if i == 0 && ui.memory(|m| m.focused().is_none()) {
                response.request_focus();
            }
            if response.clicked() {
                pressed = Some(i);
            }
        }
    });
    pressed
}
