//! Particulars of one copy, or of several.

use egui::{CollapsingHeader, RichText, Ui};

use super::{
    footing,
    footing::{Chosen, OfPart},
    numbers,
};
use crate::{
    document::{
        Copy, Plate,
        limits::{self, Allowed},
    },
    edit::Put,
    gui::{
        look::Look,
        read,
        theme::{Theme, size},
        view::View,
        widgets::{NumberField, Rule, Unit, inset, line, link, quantity, reading, title},
        wish::Wish,
    },
    session::{Action, Session, Side},
};

/// Shows what is selected.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate() else { return };
    let copies: Vec<&Copy> = plate.copies.iter().filter(|c| session.selection().contains(&c.id)).collect();
    let Some(&first) = copies.first() else { return };
    let theme = Theme::of(ui.visuals());
    let job = session.job();
    let one = copies.len() == 1;
    let part = job.part(first.part).filter(|p| copies.iter().all(|c| c.part == p.id));
    let head = match (part, one) {
        (Some(p), _) => format!("{} · {}", p.letter, p.name),
        (None, _) => "Several parts".to_owned(),
    };
    let beside = if one { format!("copy {}", first.number) } else { format!("{} copies", copies.len()) };
    title(ui, &head, |ui| ui.label(RichText::new(beside).small().color(theme.faint)));
    ui.add_space(2.0);
    place(ui, session, plate, &copies, wishes);

    let same_footing = copies.iter().all(|c| c.footing == first.footing);
    let of = |c: &Copy| job.part(c.part).map(|p| p.footing);
    let of_part = of(first).filter(|f| copies.iter().all(|c| of(c) == Some(*f))).map_or(OfPart::Each, OfPart::One);
    let key = first.id;
    match footing::show(ui, key, first.footing, Some(of_part), !same_footing) {
        Some(Chosen::Inherit) => wishes.push(Action::Footing(None).into()),
        Some(Chosen::Own(f)) => wishes.push(Action::Footing(Some(f)).into()),
        None => {}
    }
    let locked = copies.iter().all(|c| c.locked == first.locked).then_some(first.locked);
    if let Some(lock) = numbers::yes_or_no(ui, key, "locked", locked) {
        wishes.push(Action::Lock(lock).into());
    }
    let height = |c: &Copy| read::prepared(session, job, c).map(|p| p.shape.height_mm);
    if let Some(z) = height(first).filter(|z| copies.iter().all(|c| height(c) == Some(*z))) {
        reading(ui, "height", &quantity::show(z, Unit::Mm));
    }
    if !one {
        line_up(ui, session, wishes);
    }
    if let Some(part) = part {
        super::standing::show(ui, session, part, view, wishes);
        ui.add_space(4.0);
        CollapsingHeader::new(RichText::new(format!("Part {}", part.letter)).size(size::BODY))
            .id_salt(("part of copies", part.id))
            .show(ui, |ui| super::part::fields(ui, session, part, view, wishes));
    }
}

/// Where it lies and how it is turned.
fn place(ui: &mut Ui, session: &Session, plate: &Plate, copies: &[&Copy], wishes: &mut Vec<Wish>) {
    let first = copies[0];
    let common = |of: fn(&Copy) -> f64| {
        let v = of(first);
        copies.iter().all(|c| of(c) == v).then_some(v)
    };
    let enabled = Action::Delete.enabled(session);
    let mut change = |set: &dyn Fn(&mut Put)| {
        let puts = copies
            .iter()
            .map(|c| {
                let mut put = Put::as_it_lies(c, plate.id);
                set(&mut put);
                put
            })
            .collect();
        wishes.push(Action::Put(puts).into());
    };
    let number =
        |ui: &mut Ui, label: &str, tip: &str, value: Option<f64>, (unit, allowed): (Unit, Allowed), step: f64| {
            line(ui, label, Rule::None, |ui| {
                NumberField::new(label, value, unit)
                    .allowed(allowed)
                    .step(step)
                    .enabled(enabled)
                    .tooltip(tip)
                    .of(first.id)
                    .show(ui)
            })
        };
    let across = "From the left edge of the bed to the middle of the copy's box";
    if let Some(v) = number(ui, "X", across, common(|c| c.x_mm), (Unit::Mm, limits::PLACE_X), 1.0) {
        change(&|p| p.x_mm = v);
    }
    let up = "From the front edge of the bed to the middle of the copy's box";
    if let Some(v) = number(ui, "Y", up, common(|c| c.y_mm), (Unit::Mm, limits::PLACE_Y), 1.0) {
        change(&|p| p.y_mm = v);
    }
    let turned = "Counter-clockwise, seen from above";
    if let Some(v) = number(ui, "rotation", turned, common(|c| c.turn_deg), (Unit::Degrees, limits::TURN), 5.0) {
        change(&|p| p.turn_deg = v.rem_euclid(360.0));
    }
}

/// Lining up and spreading several copies.
fn line_up(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let groups = [
        ("line up across", [(Side::Left, "left"), (Side::MiddleAcross, "middle"), (Side::Right, "right")]),
        ("line up front to back", [(Side::Front, "front"), (Side::MiddleUp, "middle"), (Side::Back, "back")]),
    ];
    for (label, sides) in groups {
        line(ui, label, Rule::None, |ui| {
            inset(ui);
            for (side, word) in sides.into_iter().rev() {
                let action = Action::Align(side);
                ui.add_enabled_ui(action.enabled(session), |ui| {
                    let pressed = link(ui, word, false).accessible_name(action.name()).clicked();
                    if pressed {
                        wishes.push(action.into());
                    }
                });
            }
        });
    }
    if link(ui, Look::RowsAndColumns.name(), false).clicked() {
        wishes.push(Look::RowsAndColumns.into());
    }
}
