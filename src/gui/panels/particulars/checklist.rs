//! The checklist of the plate.

use egui::{Label, RichText, Ui};

use crate::{
    document::{Plate, Readiness, ReadyItem, limits},
    gui::{
        theme::{Theme, size},
        view::View,
        widgets::{NumberField, Rule, TextField, Unit, line, link},
        wish::Wish,
    },
    session::{Action, Session},
};

/// "3 of 8 open".
pub(super) fn summary(session: &Session, plate: &Plate) -> String {
    let lines = session.ready_lines(plate.id);
    let open = lines.iter().filter(|l| l.done.is_none()).count();
    if open == 0 { "all seen to".to_owned() } else { format!("{open} of {} open", lines.len()) }
}

/// Shows its items, each to be ticked by whoever saw to it.
pub(super) fn show(ui: &mut Ui, session: &Session, plate: &Plate, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let ready = &session.job().readiness;
    line(ui, "initials", Rule::None, |ui| {
        let field = TextField::new("initials of who looks", &view.initials).width(60.0).check(check_initials);
        if let Some(initials) = field.show(ui) {
            view.initials = initials;
        }
    });
    for item in session.ready_lines(plate.id) {
        let mut done = item.done.is_some();
        if ui.checkbox(&mut done, &item.text).changed() {
            let action = if done {
                Action::Tick(plate.id, item.item.clone(), view.initials.clone())
            } else {
                Action::Untick(plate.id, item.item.clone())
            };
            wishes.push(action.into());
        }
        let words = match &item.done {
            Some((when, by)) => {
                let zone = crate::batch::zone_of(&session.job().shifts.hours);
                let when = when.to_zoned_datetime(zone).strftime("%a %-d %b %H:%M").to_string();
                if by.is_empty() { when } else { format!("{when}, {by}") }
            }
            None => item.why.clone(),
        };
        ui.horizontal(|ui| {
            ui.add_space(20.0);
            ui.add(Label::new(RichText::new(words).size(size::SMALL).color(theme.faint)).wrap());
        });
    }
    settings(ui, ready, plate, wishes);
}

/// How often items are due, the job's own, and a nozzle changed.
fn settings(ui: &mut Ui, ready: &Readiness, plate: &Plate, wishes: &mut Vec<Wish>) {
    let mut new = ready.clone();
    for (label, place) in
        [("refresh surface after", &mut new.surface_plates), ("check level after", &mut new.level_plates)]
    {
        line(ui, label, Rule::None, |ui| {
            let field = NumberField::new(label, f64::from(*place), Unit::Plain("plates")).allowed(limits::DUE_PLATES);
            if let Some(n) = field.width(90.0).show(ui) {
                *place = n.round() as u32;
            }
        });
    }
    line(ui, "further items", Rule::None, |ui| {
        let shown = ready.own.join("; ");
        let field =
            TextField::new("further items", &shown).width(size::NAME_WIDTH).hint("door shut; fan on").check(check_own);
        if let Some(typed) = field.show(ui) {
            new.own = own(&typed);
            new.ticks.retain(|t| match &t.item {
                ReadyItem::Own(text) => new.own.contains(text),
                _ => true,
            });
        }
    });
    if new != *ready {
        wishes.push(Action::SetReadiness(Box::new(new)).into());
    }
    let nozzle = Action::NozzleChanged(plate.machine);
    if link(ui, nozzle.name(), false).on_hover_text(nozzle.tooltip()).clicked() {
        wishes.push(nozzle.into());
    }
}

fn own(text: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for item in text.split(';').map(str::trim).filter(|t| !t.is_empty()) {
        if !all.iter().any(|o| o == item) {
            all.push(item.to_owned());
        }
    }
    all
}

fn check_own(text: &str) -> Result<(), String> {
    let all = own(text);
    if all.len() > limits::MOST_OWN_ITEMS {
        return Err(format!("Type at most {} items.", limits::MOST_OWN_ITEMS));
    }
    if all.iter().any(|o| o.chars().count() > limits::MOST_OWN_ITEM) {
        return Err(format!("Type at most {} letters for one item.", limits::MOST_OWN_ITEM));
    }
    Ok(())
}

fn check_initials(text: &str) -> Result<(), String> {
    let most = limits::MOST_INITIALS;
    if text.chars().count() > most { Err(format!("Type at most {most} letters.")) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_as_people_type_them() {
        assert_eq!(own(" Door shut;; fan on ;Door shut"), ["Door shut", "fan on"]);
        assert!(check_own(&"x".repeat(1000)).is_err() && check_own("a;b").is_ok());
    }
}
