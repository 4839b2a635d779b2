//! The plate selected: how far it is, its machine, when it may start.

use egui::{RichText, Ui};

use super::times_text;
use crate::{
    batch::zone_of,
    document::{Plate, PlateId},
    gui::{
        look::Look,
        theme::{Theme, size},
        views::Tab,
        widgets::{Choice, Rule, TextField, line, link, title},
        wish::Wish,
    },
    session::{Action, RunMark, Session},
};

/// What can be said of a plate now.
pub(super) fn marks_of(session: &Session, plate: PlateId) -> Vec<RunMark> {
    let Some(plate) = session.job().plate(plate) else { return Vec::new() };
    let run = plate.run;
    let mut marks = Vec::new();
    match (run.started.is_some(), run.ended.is_some()) {
        (_, true) => marks.push(RunMark::NotStarted),
        (true, false) => marks.extend([RunMark::Ended(None), RunMark::Failed, RunMark::NotStarted]),
        (false, false) => marks.extend([RunMark::Started(None), RunMark::Ended(None), RunMark::Failed]),
    }
    marks.push(RunMark::Fixed(!run.fixed));
    marks
}

/// Shows the plate selected.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let job = session.job();
    let Some(plate) = session.plate() else {
        title(ui, "Plate", |_| ());
        ui.label(RichText::new("No plate is selected.").small().color(theme.faint));
        return;
    };
    let number = job.plate_number(plate.id).unwrap_or(0);
    title(ui, &format!("Plate {number}"), |ui| {
        ui.label(RichText::new(state_words(plate)).small().color(theme.faint));
    });
    if let Some(t) = session.timeline()
        && let Some(run) = t.run_of(plate.id)
    {
        let words = t.run_words(job, run);
        let after = words.split_once(", ").map_or(words.as_str(), |(_, after)| after);
        ui.add(egui::Label::new(RichText::new(after).size(size::SMALL + 0.5).color(theme.ink)).wrap());
    }
    line(ui, "machine", Rule::None, |ui| {
        let now = job.machine(plate.machine).map_or("?", |m| m.name.as_str());
        let all = job.machines.iter().map(|m| (m.id, m.name.clone()));
        if let Some(machine) = Choice::new("machine of the plate", now).of(plate.id).show(ui, all) {
            wishes.push(Action::MoveRun { plate: plate.id, machine, before: None }.into());
        }
    });
    line(ui, "not before", Rule::None, |ui| {
        let zone = zone_of(&job.shifts.hours);
        let shown = plate.run.not_before.map_or_else(String::new, |t| times_text::show_instant(t, &zone));
        let field = TextField::new("not before", &shown).hint("any time").check(times_text::check).of(plate.id);
        if let Some(text) = field.width(size::NAME_WIDTH).show(ui) {
            let mark = RunMark::NotBefore(times_text::parse_instant(&text, &zone));
            wishes.push(Action::MarkRun(plate.id, mark).into());
        }
    });
    ui.add_space(2.0);
    if link(ui, "Open on the sheet", false).clicked() {
        wishes.push(Look::View(Tab::Sheet).into());
    }
    for mark in marks_of(session, plate.id) {
        let action = Action::MarkRun(plate.id, mark);
        ui.add_enabled_ui(action.enabled(session), |ui| {
            if link(ui, mark.name(), false).on_hover_text(mark.tooltip()).clicked() {
                wishes.push(action.into());
            }
        });
    }
}

fn state_words(plate: &Plate) -> &'static str {
    match (plate.run.started.is_some(), plate.run.ended.is_some(), plate.run.failed) {
        (_, true, true) => "failed",
        (_, true, false) => "ended",
        (true, false, _) => "running",
        _ if plate.copies.is_empty() => "empty",
        _ => "not started",
    }
}
