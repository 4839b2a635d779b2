//! The shelf: spools, and which of them the plate is made from.

use egui::{CollapsingHeader, RichText, Ui};

use super::numbers::{self, Number, number};
use crate::{
    document::{Plate, Sensor, Spool, SpoolId, TailFixed, limits},
    drawing::words,
    estimate::SpoolUse,
    gui::{
        theme::{Theme, size},
        widgets::{Choice, Rule, TextField, Unit, line, link, reading},
        wish::Wish,
    },
    session::{Action, Session},
};

const NUMBERS: [Number<Spool>; 2] = [
    number(
        "grams left",
        Unit::Plain(" g"),
        (limits::GRAMS_LEFT, 10.0),
        "Weight of the spool less that of an empty one",
        |s| &mut s.grams_left,
    ),
    number(
        "diameter tolerance",
        Unit::Mm,
        (limits::DIAMETER_TOLERANCE, 0.01),
        "How much thicker or thinner the filament may be",
        |s| &mut s.tolerance_mm,
    ),
];

/// Shows the shelf.
pub(super) fn show(ui: &mut Ui, session: &Session, plate: Option<&Plate>, wishes: &mut Vec<Wish>) {
    let job = session.job();
    let theme = Theme::of(ui.visuals());
    if let Some(plate) = plate.filter(|_| !job.spools.is_empty()) {
        of_plate(ui, session, plate, wishes);
    }
    for spool in &job.spools {
        let letter = if spool.letter.is_empty() { String::new() } else { format!("{} ", spool.letter) };
        let head = format!("{letter}{}, {}", spool.name, words::mass(spool.grams_left));
        CollapsingHeader::new(RichText::new(head).size(size::BODY))
            .id_salt(("spool", spool.id))
            .show(ui, |ui| fields(ui, session, spool, wishes));
    }
    if job.spools.is_empty() {
        ui.label(RichText::new("No spools on the shelf yet.").small().color(theme.faint));
    }
    let like = plate.map(|p| (p.material, p.colour.as_str())).or(job.materials.first().map(|m| (m.id, "")));
    if let Some((material, colour)) = like
        && link(ui, "New spool", false).clicked()
    {
        let name = format!("{colour} {}", job.spools.len() + 1);
        wishes.push(Action::AddSpool(Box::new(Spool::full(SpoolId(0), name.trim(), material, colour))).into());
    }
}

/// Which spool the plate is made from, and what it takes of it; of both where two carriages print it at once.
fn of_plate(ui: &mut Ui, session: &Session, plate: &Plate, wishes: &mut Vec<Wish>) {
    let view = session.view(plate.id);
    choice(ui, session, "spool", plate, plate.spool, |id| wishes.push(Action::ChooseSpool(plate.id, id).into()));
    takes(ui, view.and_then(|v| v.spool));
    if session.job().twin(plate).is_some() {
        let chosen = |id| wishes.push(Action::ChooseTwinSpool(plate.id, id).into());
        choice(ui, session, "second spool", plate, plate.twin_spool, chosen);
        takes(ui, view.and_then(|v| v.twin_spool));
    }
}

fn choice(
    ui: &mut Ui,
    session: &Session,
    label: &str,
    plate: &Plate,
    now: Option<SpoolId>,
    mut chosen: impl FnMut(Option<SpoolId>),
) {
    let job = session.job();
    line(ui, label, Rule::None, |ui| {
        let now = now.and_then(|id| job.spool(id)).map_or("none", |s| s.name.as_str());
        let all = job.spools.iter().map(|s| (Some(s.id), s.name.clone()));
        let choices = [(None, "none".to_owned())].into_iter().chain(all);
        if let Some(id) = Choice::new(label, now).width(size::NAME_WIDTH).of(plate.id).show(ui, choices) {
            chosen(id);
        }
    });
}

fn takes(ui: &mut Ui, taken: Option<SpoolUse>) {
    if let Some(u) = taken {
        reading(ui, "before this plate", &words::mass(u.before.nominal_g));
        reading(ui, "this plate takes", &words::mass_range(u.needed_g.least, u.needed_g.most));
        let left = u.after.at_least_empty().range_g;
        reading(ui, "left after it", &words::mass_range(left.least, left.most));
    }
}

/// All that can be changed of a spool.
fn fields(ui: &mut Ui, session: &Session, old: &Spool, wishes: &mut Vec<Wish>) {
    let job = session.job();
    let key = old.id;
    let mut new = old.clone();
    for (label, place) in [
        ("spool name", (|s: &mut Spool| &mut s.name) as fn(&mut Spool) -> &mut String),
        ("spool colour", |s| &mut s.colour),
        ("colour letter", |s| &mut s.letter),
    ] {
        line(ui, label, Rule::None, |ui| {
            let text = place(&mut new);
            let field = TextField::new(label, text.as_str()).width(size::NAME_WIDTH).of(key).show(ui);
            if let Some(typed) = field {
                *text = typed;
            }
        });
    }
    line(ui, "spool material", Rule::None, |ui| {
        let now = job.material(old.material).map_or("?", |m| m.name.as_str());
        let choices = job.materials.iter().map(|m| (m.id, m.name.clone()));
        if let Some(id) = Choice::new("spool material", now).width(size::NAME_WIDTH).of(key).show(ui, choices) {
            new.material = id;
        }
    });
    numbers::show(ui, key, &mut new, &NUMBERS);
    line(ui, "sensor", Rule::None, |ui| {
        let choices = Sensor::ALL.map(|s| (s, s.word().to_owned()));
        let tip = "How the machine notices that filament is missing. See its manual for what it does then";
        if let Some(sensor) = Choice::new("sensor", old.sensor.word()).of(key).tooltip(tip).show(ui, choices) {
            new.sensor = sensor;
        }
    });
    line(ui, "tail fixed to hub", Rule::None, |ui| {
        let choices = TailFixed::ALL.map(|t| (t, t.word().to_owned()));
        let tip = "The end of a fixed tail never reaches a presence sensor";
        let choice = Choice::new("tail fixed to hub", old.tail_fixed.word()).of(key).tooltip(tip);
        if let Some(tail_fixed) = choice.show(ui, choices) {
            new.tail_fixed = tail_fixed;
        }
    });
    if new != *old {
        wishes.push(Action::SetSpool(Box::new(new)).into());
    }
    if let Some(level) = session.spool_after(key) {
        reading(ui, "left after the docket", &words::mass_range(level.range_g.least, level.range_g.most));
    }
    let remove = Action::RemoveSpool(key);
    if link(ui, remove.name(), false).clicked() {
        wishes.push(remove.into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_take_what_the_table_allows() {
        let one = Spool::full(SpoolId(1), "white 1", crate::document::MaterialId(1), "white");
        numbers::tests::take_what_is_allowed(&one, &NUMBERS, limits::SPOOL);
    }
}
