//! What the pages of studies of a part have alike.

use egui::{RichText, Ui};

use crate::{
    document::{Job, MachineId, PartId},
    gui::{
        theme::{Theme, size, strong},
        widgets::MoveButton,
    },
    session::{Action, Session},
    words,
};

/// The button that begins a study; true where it was pressed.
pub(super) fn begin(ui: &mut Ui, session: &Session, study: &Action, (note, enabled): (&str, bool)) -> bool {
    ui.scope(|ui| {
        ui.set_max_width(300.0);
        let button = MoveButton::new(study.name(), note);
        ui.add_enabled(enabled && session.arranging().is_none(), button).on_hover_text(study.tooltip()).clicked()
    })
    .inner
}

/// Of which part on which machine the latest study is, and whether that is still so. False where either is gone.
pub(super) fn head(
    ui: &mut Ui,
    job: &Job,
    (part, machine): (PartId, MachineId),
    is_stale: bool,
    at_hand: PartId,
) -> bool {
    let theme = Theme::of(ui.visuals());
    let (Some(its), Some(machine)) = (job.part(part), job.machine(machine)) else { return false };
    let head = format!("{} on {}", words::plain(&its.name), words::plain(&machine.name));
    ui.label(strong(&head).size(size::TITLE).color(theme.ink));
    if is_stale {
        ui.label(RichText::new("The job has changed since: study again.").small().color(theme.watch));
    } else if part != at_hand {
        let text = "The latest study is of another part than the one chosen above.";
        ui.label(RichText::new(text).small().color(theme.faint));
    }
    true
}
