//! The part that a study is about.

use egui::Ui;

use crate::{
    document::Part,
    gui::{widgets::Choice, wish::Wish},
    session::{Action, Session},
    words,
};

/// The part whose particulars are shown, else the one that is selected, else the first on the plate shown, else the first.
pub(super) fn part_at_hand(session: &Session) -> Option<&Part> {
    let job = session.job();
    let selected = session.selection().first().and_then(|c| job.copy(*c)).map(|(_, c)| c.part);
    let on_plate = || session.plate().and_then(|p| p.copies.first()).map(|c| c.part);
    let id = session.part_id().or(selected).or_else(on_plate);
    id.and_then(|id| job.part(id)).or_else(|| job.parts.first())
}

/// The part, and a choice of another one.
pub(super) fn choose_part(ui: &mut Ui, session: &Session, part: &Part, wishes: &mut Vec<Wish>) {
    let name = |p: &Part| format!("{}  {}", p.letter, words::plain(&p.name));
    let all = session.job().parts.iter().map(|p| (p.id, name(p)));
    if let Some(id) = Choice::new("part to study", name(part)).width(190.0).show(ui, all) {
        wishes.push(Action::SelectPart(id).into());
    }
}
