//! What was put right in our copy of a part's mesh, and what would help further.

use egui::{RichText, Ui};

use crate::{
    document::Part,
    gui::{theme::Theme, widgets::link, wish::Wish},
    session::{Action, MeshState, Session},
};

/// Lists a part's mends, each with what it changed and a way back, and offers those that would help.
pub(super) fn show(ui: &mut Ui, session: &Session, part: &Part, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let mended = session.mended(part.id);
    for (n, mend) in part.mends.iter().enumerate() {
        let done = match mended.and_then(|m| m.changed.get(n)) {
            None => " (being made)",
            Some(0) => " (nothing to do)",
            Some(_) => "",
        };
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(format!("Mended: {}{done}", mend.words())).small().color(theme.ink));
            let undo = Action::UndoMend(part.id, n);
            if link(ui, "undo this mend", false).on_hover_text(undo.tooltip()).clicked() {
                wishes.push(undo.into());
            }
        });
    }
    let of_file = match session.library().state(&part.mesh) {
        Some(MeshState::Ready(loaded)) if part.mends.is_empty() => Some(&loaded.would_help),
        _ => None,
    };
    let would_help = mended.map(|m| &m.would_help).or(of_file);
    for mend in would_help.into_iter().flatten() {
        let action = Action::Mend(part.id, *mend);
        if link(ui, &mend.label(), false).on_hover_text(action.tooltip()).clicked() {
            wishes.push(action.into());
        }
    }
}
