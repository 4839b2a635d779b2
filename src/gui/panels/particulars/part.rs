//! Particulars of a part: which way up, how large, what holds it down, what it is made of.

use egui::{RichText, Ui};

use super::{clean_up, footing, footing::Chosen, lines, mends, numbers, pose_drawing};
use crate::{
    document::{FileUnit, Part, Pose, Turns, limits::SCALE},
    estimate::CopiesUntil,
    gui::{
        panels::order::part_actions,
        read,
        theme::Theme,
        view::View,
        widgets::{Chip, Choice, NumberField, Rule, TextField, Unit, inset, line, link, quantity, reading, title},
        wish::Wish,
    },
    session::{Action, Session},
    stability::PoseChoice,
};

/// Shows a part.
pub(super) fn show(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, &part.name, |ui| {
        ui.add(Chip::new(&part.letter, part.hue()));
    });
    ui.add_space(2.0);
    super::standing::show(ui, session, part, view, wishes);
    fields(ui, session, part, view, wishes);
}

/// All that can be changed of a part.
pub(super) fn fields(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    let mut new = part.clone();
    let key = part.id;
    lines::word(ui, "name", "name", key, &mut new.name);
    way_up(ui, session, part, &mut new, view, wishes);
    match footing::show(ui, ("part", key), Some(part.footing), None, false) {
        Some(Chosen::Own(f)) => new.footing = f,
        Some(Chosen::Inherit) | None => {}
    }
    own_footings(ui, session, part, wishes);
    clean_up::show(ui, session.job(), part, &mut new);
    line(ui, "rotations allowed", Rule::None, |ui| {
        let words = |t: Turns| match t {
            Turns::Free => "any",
            Turns::Eighths => "by 45°",
            Turns::Quarters => "by 90°",
            Turns::Halves => "by 180°",
            Turns::None => "none",
        };
        let choices = Turns::ALL.map(|t| (t, words(t).to_owned()));
        if let Some(t) = Choice::new("rotations allowed", words(part.turns)).of(key).show(ui, choices) {
            new.turns = t;
        }
    });
    if let Some(together) = numbers::yes_or_no(ui, key, "keep on one plate", Some(part.together)) {
        new.together = together;
    }
    made_of(ui, session, part, &mut new);
    other_hand(ui, session, part, wishes);
    cooling(ui, session, part);
    mesh(ui, session, part, wishes);
    if new != *part {
        wishes.push(Action::SetPart(Box::new(new)).into());
    }
    ui.add_space(4.0);
    for action in part_actions(part) {
        ui.add_enabled_ui(action.enabled(session), |ui| {
            let response = link(ui, action.name(), false);
            let response =
                if action.tooltip().is_empty() { response } else { response.on_hover_text(action.tooltip()) };
            if response.clicked() {
                wishes.push(action.into());
            }
        });
    }
}

/// Says which copies the part's footing does not hold for.
fn own_footings(ui: &mut Ui, session: &Session, part: &Part, wishes: &mut Vec<Wish>) {
    let own = session.with_own_footing(part.id);
    if own == 0 {
        return;
    }
    let action = Action::FootingAsPart(part.id);
    let has = if own == 1 { "has a footing of its own" } else { "have footings of their own" };
    let words = format!("{} {has}", crate::words::copies(own));
    ui.horizontal_wrapped(|ui| {
        inset(ui);
        ui.label(RichText::new(words).small().color(Theme::of(ui.visuals()).faint));
        ui.add_enabled_ui(action.enabled(session), |ui| {
            if link(ui, "as the part", false).on_hover_text(action.tooltip()).clicked() {
                wishes.push(action.into());
            }
        });
    });
}

/// Which way up, mirrored, scaled.
fn way_up(ui: &mut Ui, session: &Session, part: &Part, new: &mut Part, view: &mut View, wishes: &mut Vec<Wish>) {
    let key = part.id;
    for (label, axis) in [("turn about X by", 0), ("turn about Y by", 1), ("turn about Z by", 2)] {
        line(ui, label, Rule::None, |ui| {
            let field = NumberField::new(label, 0.0, Unit::Degrees).range(-360.0, 360.0).step(15.0).of(key);
            let tip =
                "Turns the part on by this angle from where it is, counter-clockwise seen from the end of the axis";
            if let Some(deg) = field.tooltip(tip).show(ui) {
                wishes.push(match axis {
                    0 => Action::TurnPart(key, deg, 0.0).into(),
                    1 => Action::TurnPart(key, 0.0, deg).into(),
                    _ => Action::TurnPartAboutZ(key, deg).into(),
                });
            }
        });
    }
    line(ui, "face on the bed", Rule::None, |ui| {
        let open = view.faces_of == Some(key);
        inset(ui);
        if link(ui, if open { "close the list" } else { "choose a face…" }, false).clicked() {
            view.faces_of = if open { None } else { Some(key) };
        }
    });
    if view.faces_of == Some(key) {
        faces(ui, session, part, view, wishes);
    }
    if let Some(mirrored) = numbers::yes_or_no(ui, key, "mirrored", Some(part.pose.mirrored)) {
        new.pose = Pose { mirrored, ..new.pose };
    }
    line(ui, "scale", Rule::None, |ui| {
        let field = NumberField::new("scale", part.pose.scale_percent, Unit::Percent).allowed(SCALE).step(0.1);
        let tip = "Percent of the size in the file, to allow for shrinkage";
        if let Some(scale_percent) = field.tooltip(tip).of(key).show(ui) {
            new.pose.scale_percent = scale_percent;
        }
    });
}

/// Ways to lay the part down, best first, with what speaks for each.
fn faces(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    const MOST: usize = 8;
    let theme = Theme::of(ui.visuals());
    let faint = |ui: &mut Ui, words: &str| {
        ui.horizontal(|ui| {
            ui.add_space(12.0);
            ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
        });
    };
    if session.library().loaded(&part.mesh).is_none() {
        faint(ui, "The mesh is missing.");
        return;
    }
    let Some(poses) = session.poses(part.id) else {
        faint(ui, "Working it out…");
        if !session.ranking_poses(part.id) {
            wishes.push(Action::RankPoses(part.id).into());
        }
        return;
    };
    let drawn = session.pose_views(part.id);
    if drawn.is_none() && !poses.is_empty() && !session.ranking_poses(part.id) {
        // Ranked, and not drawn yet.
        wishes.push(Action::RankPoses(part.id).into());
    }
    if poses.is_empty() {
        faint(ui, "This mesh has no face to lie on.");
    }
    for (n, pose) in poses.iter().take(MOST).enumerate() {
        ui.horizontal_top(|ui| {
            ui.add_space(12.0);
            let mut chosen = pose_drawing::show(ui, drawn.and_then(|d| d.get(n)), n + 1, part, view).clicked();
            ui.vertical(|ui| {
                let words = format!("{}. {}", n + 1, direction(pose.normal));
                let tip = "Best first: stands firmly, needs little support, is low. A ranking, not a promise";
                chosen |= link(ui, &words, n == 0).on_hover_text(tip).clicked();
                let mut words = pose.words();
                if let Some((copies, layer_s)) = session.pose_comes_to(part.id, pose) {
                    words = format!("{words}; {}", comes_to(pose, copies, layer_s));
                }
                ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
            });
            if chosen {
                wishes.push(Action::LayDown(part.id, pose.normal).into());
            }
        });
    }
}

/// "modulus 298 mm³; 40 copies in rows on this bed; about 14 s a layer for one copy".
fn comes_to(pose: &PoseChoice, copies: usize, layer_s: Option<f64>) -> String {
    let fits = match copies {
        0 => "does not fit this bed".to_owned(),
        n => format!("{} in rows on this bed", crate::words::copies(n)),
    };
    let layer = layer_s.map_or_else(String::new, |s| format!("; about {s:.0} s a layer for one copy"));
    format!("modulus {:.0} mm³; {fits}{layer}", pose.modulus_mm3)
}

/// Which way a face looks now, in words.
fn direction(n: [f64; 3]) -> &'static str {
    let axis = (0..3).max_by(|&a, &b| n[a].abs().total_cmp(&n[b].abs())).unwrap_or(2);
    if n[axis].abs() < 0.94 {
        return "slanting";
    }
    match (axis, n[axis] > 0.0) {
        (0, true) => "right side",
        (0, false) => "left side",
        (1, true) => "back",
        (1, false) => "front",
        (_, true) => "top",
        (_, false) => "as it stands",
    }
}

/// Material, colour, recipe, and when it is due.
fn made_of(ui: &mut Ui, session: &Session, part: &Part, new: &mut Part) {
    let key = part.id;
    lines::made_of(ui, session.job(), key, (&mut new.material, &mut new.colour, &mut new.recipe));
    line(ui, "due date", Rule::None, |ui| {
        let due = part.due.as_deref().unwrap_or("");
        if let Some(text) = TextField::new("due date", due).hint("2026-12-01").check(date).of(key).show(ui) {
            new.due = Some(text.trim().to_owned()).filter(|t| !t.is_empty());
        }
    });
}

/// The order line of the other hand, or the way to order it.
fn other_hand(ui: &mut Ui, session: &Session, part: &Part, wishes: &mut Vec<Wish>) {
    if let Some(other) = part.other_hand.and_then(|id| session.job().part(id)) {
        let tip = "Ordered as a pair, left and right: a handed twin makes one of each";
        reading(ui, "other hand", &format!("{} {}", other.letter, other.name)).on_hover_text(tip);
        return;
    }
    // Of use where something prints both hands at once.
    if session.job().machines.iter().all(|m| m.carriages.is_none()) {
        return;
    }
    let action = Action::OrderHands(part.id);
    ui.add_enabled_ui(action.enabled(session), |ui| {
        if link(ui, action.name(), false).on_hover_text(action.tooltip()).clicked() {
            wishes.push(action.into());
        }
    });
}

/// A day as ISO 8601 writes it, with a time where one is typed, or nothing.
fn date(text: &str) -> Result<(), String> {
    let text = text.trim();
    let is_day = text.len() == 10 && text.parse::<jiff::civil::Date>().is_ok();
    let is_time = || {
        text.contains(':') && (text.parse::<jiff::civil::DateTime>().is_ok() || text.parse::<jiff::Timestamp>().is_ok())
    };
    if text.is_empty() || is_day || is_time() {
        Ok(())
    } else {
        Err("Type a day as year-month-day, such as 2026-12-01, with a time if you like: 2026-12-01 16:30.".to_owned())
    }
}

/// How many copies it takes until layers are no longer slowed.
fn cooling(ui: &mut Ui, session: &Session, part: &Part) {
    if let Some(until) = session.copies_until_slowing_ends(part.id) {
        let on_a_plate = if until.every_layer == until.nearly_every_layer { " on a plate" } else { "" };
        reading(ui, "slowing ends at", &format!("{}{on_a_plate}", until.words())).on_hover_text(CopiesUntil::ASSUMES);
    }
}

/// What is known of the mesh file.
fn mesh(ui: &mut Ui, session: &Session, part: &Part, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(mesh) = session.job().mesh(&part.mesh) else { return };
    line(ui, "file unit", Rule::None, |ui| {
        let choices = FileUnit::ALL.map(|u| (u, u.word().to_owned()));
        if let Some(unit) = Choice::new("file unit", mesh.unit.word()).of(part.id).show(ui, choices) {
            wishes.push(Action::SetUnit(part.id, unit).into());
        }
    });
    if let Some(shape) = session.shapes().get(&part.id) {
        let b = shape.shadow.bounds();
        let mm = |v: f64| quantity::show_bare(v, Unit::Mm);
        reading(ui, "size", &format!("{} × {} × {} mm", mm(b.width()), mm(b.height()), mm(shape.height_mm)));
    }
    let file = mesh.file.rsplit('/').next().unwrap_or(&mesh.file);
    let words = read::mesh_words(session, part.id).map_or_else(|| file.to_owned(), |w| format!("{file}: {w}"));
    ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
    mends::show(ui, session, part, wishes);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_days_that_there_are() {
        for sound in ["", " 2026-12-01 ", "2028-02-29", "2000-02-29", "2026-12-01 16:30", "2026-12-01T16:30:00Z"] {
            assert_eq!(date(sound), Ok(()), "{sound}");
        }
        for wrong in [
            "tomorrow",
            "1.12.2026",
            "2026-13-01",
            "2026-02-29",
            "1900-02-29",
            "2026-1-1",
            "2026-12-00",
            "2026-12-01-",
            "2026-12-01 25:00",
        ] {
            assert!(date(wrong).is_err(), "{wrong}");
        }
    }
}
