//! As many copies as fit, or as end by a time.

use egui::{RichText, Ui};

use crate::{
    document::ClockTime,
    gui::{
        theme::Theme,
        widgets::{Choice, NumberField, TextField, Unit, refusal, take_refused},
        wish::Wish,
    },
    session::{Action, EndBy, Session, When},
};

/// What Top up adds and Pack keeps.
pub(super) fn choice(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    const FIT: &str = "as many as fit";
    const END: &str = "as many as end by";
    let now = session.end_by().copied();
    let tooltip = Action::EndBy(None).tooltip();
    let mut new = now;
    let name = if now.is_some() { END } else { FIT };
    let choice = Choice::new("how many copies", name).width(136.0).tooltip(tooltip);
    if let Some(timed) = choice.show(ui, [(false, FIT.to_owned()), (true, END.to_owned())]) {
        new = timed.then(usual);
    }
    if new != now {
        wishes.push(Action::EndBy(new).into());
    }
}

/// From when to when, and how sure; nothing where as many as fit are wanted.
pub(super) fn times(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let now = session.end_by().copied();
    let mut new = now;
    let faint = |text: &str| RichText::new(text).small().color(theme.faint);
    if let Some(e) = &mut new {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            ui.label(faint("from"));
            let start = e.start.map_or_else(String::new, |s| s.to_string());
            if let Some(text) = TextField::new("start", &start).width(58.0).hint("now").check(check_start).show(ui) {
                e.start = text.trim().parse().ok();
            }
            ui.label(faint("to"));
            if let Some(text) = TextField::new("end by", &e.end.to_string()).width(58.0).check(check_end).show(ui) {
                e.end = text.parse().unwrap_or(e.end);
            }
            ui.label(faint("chance"));
            let sure = NumberField::new("chance to end in time", e.chance * 100.0, Unit::Percent).range(1.0, 99.9);
            if let Some(percent) = sure.width(52.0).tooltip(SURE).show(ui) {
                e.chance = percent / 100.0;
            }
        });
        if let Some(why) = take_refused(ui) {
            refusal(ui, &why);
        }
    }
    if new != now {
        wishes.push(Action::EndBy(new).into());
    }
}

const SURE: &str = "Real times are assumed to spread round the estimate: 95 of 100 within the spread that the view Studies shows. 50 % takes the estimate as it is";

/// From now to the start of the usual day.
fn usual() -> EndBy {
    let end = When::Clock(ClockTime::new(8, 0).unwrap_or(ClockTime::MIDNIGHT));
    EndBy { start: None, end, chance: 0.5, further_plate: true }
}

/// A start, or nothing for now.
fn check_start(text: &str) -> Result<(), String> {
    if text.trim().is_empty() { Ok(()) } else { check_end(text) }
}

fn check_end(text: &str) -> Result<(), String> {
    text.parse::<When>().map(drop)
}
