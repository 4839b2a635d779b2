//! What came out of the plate, before it is written down: copies are marked on the sheet, the rest is typed here.

use egui::{Label, RichText, Ui};

use crate::{
    document::{Cause, Job, Plate, limits},
    formats::read::named_copies,
    gui::{
        tally_form::TallyForm,
        theme::{Theme, size},
        view::View,
        widgets::{Choice, MoveButton, NumberField, Rule, TextField, Unit, line, link, reading, refusal, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Shows the form; true while it is open for the plate shown.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) -> bool {
    let Some(mut form) = view.tally.take() else { return false };
    let job = session.job();
    let Some(plate) = job.plate(form.plate).filter(|p| session.plate_id() == Some(p.id)) else { return false };
    // It was written down.
    if job.tally.of_plate(plate.id).count() > form.runs {
        view.initials.clone_from(&form.initials);
        return false;
    }
    if fields(ui, session, job, plate, &mut form, wishes) {
        view.tally = Some(form);
    }
    true
}

/// The fields; false where the form is closed.
fn fields(
    ui: &mut Ui,
    session: &Session,
    job: &Job,
    plate: &Plate,
    form: &mut TallyForm,
    wishes: &mut Vec<Wish>,
) -> bool {
    let theme = Theme::of(ui.visuals());
    let number = job.plate_number(plate.id).unwrap_or(0);
    title(ui, &format!("Tally of plate {number}"), |ui| {
        if form.runs > 0 {
            ui.label(RichText::new(format!("run {}", form.runs + 1)).small().color(theme.faint));
        }
    });
    let text = "Click bad copies on the sheet. A second click makes one good again.";
    ui.add(Label::new(RichText::new(text).small().color(theme.faint)).wrap());
    ui.add_space(2.0);
    line(ui, "cause", Rule::None, |ui| {
        let all = Cause::ALL.map(|c| (c, c.words().to_owned()));
        let tip = "The copies that you mark next are bad for this reason";
        if let Some(cause) = Choice::new("cause", form.cause.words()).tooltip(tip).show(ui, all) {
            form.cause = cause;
        }
    });
    let lies = job.lies_on(plate, |_| true).values().sum::<usize>();
    let chosen: Vec<_> = plate.copies.iter().filter(|c| session.selection().contains(&c.id)).collect();
    if !chosen.is_empty() && link(ui, "Mark the selected copies", false).clicked() {
        for copy in chosen {
            form.toggle(session, copy.id);
        }
    }
    line(ui, "bad copies", Rule::None, |ui| {
        let shown: Vec<String> = form.bad.iter().map(|(n, c)| format!("{n}:{}", c.word())).collect();
        let shown = shown.join(", ");
        let field =
            TextField::new("bad copies", &shown).width(size::NAME_WIDTH).of(plate.id).hint("none").check(check_copies);
        if let Some(typed) = field.show(ui)
            && let Ok(all) = named_copies(&typed)
        {
            form.bad = all.into_iter().map(|(n, c)| (n, c.unwrap_or(form.cause))).collect();
        }
    });
    reading(ui, "good copies", &lies.saturating_sub(form.bad.len()).to_string());
    line(ui, "hours", Rule::None, |ui| {
        let (least, most) = (0.01, limits::ACTUAL.most / 3600.0);
        let field = NumberField::new("hours", form.hours, Unit::Plain("h")).range(least, most).step(0.25).of(plate.id);
        if let Some(hours) = field.show(ui) {
            form.hours = hours;
        }
    });
    line(ui, "filament", Rule::None, |ui| {
        let estimated = session.view(plate.id).and_then(|v| v.estimate.as_ref()).map(|e| e.filament.mass_g);
        let value = form.grams.or(estimated.map(|g| (g * 10.0).round() / 10.0));
        let tip = "As weighed; until it is typed, as estimated";
        let field = NumberField::new("filament used", value, Unit::Plain("g")).allowed(limits::ACTUAL_G).of(plate.id);
        if let Some(grams) = field.tooltip(tip).show(ui) {
            form.grams = Some(grams);
        }
    });
    if let Some(spool) = plate.spool.and_then(|id| job.spool(id)) {
        ui.checkbox(&mut form.count_spool, format!("Take it off the spool {}", spool.name));
    }
    line(ui, "ended", Rule::None, |ui| {
        let hint = if plate.run.ended.is_some() { "as marked" } else { "now" };
        if let Some(date) = TextField::new("ended", &form.date).width(size::NAME_WIDTH).hint(hint).of(plate.id).show(ui)
        {
            form.date = date;
        }
    });
    line(ui, "initials", Rule::None, |ui| {
        let field = TextField::new("initials", &form.initials).width(60.0).of(plate.id).check(check_initials);
        if let Some(initials) = field.show(ui) {
            form.initials = initials;
        }
    });
    line(ui, "note", Rule::None, |ui| {
        if let Some(note) = TextField::new("note", &form.note).width(size::NAME_WIDTH).of(plate.id).show(ui) {
            form.note = note;
        }
    });
    ui.add_space(4.0);
    let entry = form.entry(session);
    let refused = match &entry {
        Ok(entry) => session.why_not_tally(entry),
        Err(why) => Some(why.clone()),
    };
    if let Some(why) = &refused {
        refusal(ui, why);
    }
    let button = MoveButton::new("Write it down", "");
    let enabled = refused.is_none() && session.arranging().is_none();
    if ui.add_enabled(enabled, button).clicked()
        && let Ok(entry) = entry
    {
        wishes.push(Action::Tally(Box::new(entry)).into());
    }
    !link(ui, "Close without writing", false).clicked()
}

/// Whether these are copies with causes.
fn check_copies(text: &str) -> Result<(), String> {
    let causes = Cause::ALL.map(Cause::word).join(", ");
    named_copies(text).map(drop).map_err(|word| format!("{word} is no cause. Type one of {causes}."))
}

fn check_initials(text: &str) -> Result<(), String> {
    let most = limits::MOST_INITIALS;
    if text.chars().count() > most { Err(format!("Type at most {most} letters.")) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_checked() {
        assert!(check_copies("E 14, E 15:warped").is_ok() && check_copies("").is_ok());
        assert!(check_copies("E 14:gremlins").expect_err("no cause").starts_with("gremlins is no cause"));
        assert!(check_initials("JK").is_ok() && check_initials(&"J".repeat(10_000)).is_err());
    }
}
