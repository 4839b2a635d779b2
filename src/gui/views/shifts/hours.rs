//! When somebody is there, and when the plan starts.

use egui::{RichText, Ui};

use super::{spans_text, times_text};
use crate::{
    document::{Shifts, WEEKDAYS, limits::MOST_PEOPLE},
    gui::{
        theme::{Theme, size},
        widgets::{NumberField, Rule, TextField, Unit, line, link, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Shows the start, people, time zone and the week.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let now = &session.job().shifts;
    let mut new: Shifts = now.clone();
    title(ui, "Hours", |ui| {
        if session.timeline().is_some_and(|t| t.hours_are_example) {
            let action = Action::UseHours;
            if link(ui, "These are our hours", false).on_hover_text(action.tooltip()).clicked() {
                wishes.push(action.into());
            }
            ui.label(RichText::new("an example").small().color(theme.faint));
        }
    });
    line(ui, "plan starts", Rule::None, |ui| {
        let shown = now.start.map_or_else(String::new, times_text::show);
        let field = TextField::new("plan starts", &shown).hint("now").check(times_text::check);
        if let Some(text) = field.width(size::NAME_WIDTH).show(ui) {
            new.start = times_text::parse(&text).ok().flatten();
        }
    });
    line(ui, "people", Rule::None, |ui| {
        let tip = "Each can be at one machine at a time";
        let field = NumberField::new("people", f64::from(now.hours.people), Unit::Count);
        if let Some(n) = field.range(0.0, f64::from(MOST_PEOPLE)).tooltip(tip).show(ui) {
            new.hours.people = n as u32;
        }
    });
    line(ui, "time zone", Rule::None, |ui| {
        let field = TextField::new("time zone", &now.hours.time_zone).hint("this computer's").check(check_zone);
        if let Some(text) = field.width(size::NAME_WIDTH).show(ui) {
            text.trim().clone_into(&mut new.hours.time_zone);
        }
    });
    for (n, day) in WEEKDAYS.iter().enumerate() {
        line(ui, day, Rule::None, |ui| {
            let shown = spans_text::show(&now.hours.week[n]);
            let field = TextField::new(day, &shown).hint("nobody").check(spans_text::check);
            if let Some(text) = field.width(size::NAME_WIDTH).show(ui)
                && let Ok(spans) = spans_text::parse(&text)
            {
                new.hours.week[n] = spans;
            }
        });
    }
    if new != *now {
        wishes.push(Action::SetShifts(Box::new(new)).into());
    }
}

fn check_zone(text: &str) -> Result<(), String> {
    let text = text.trim();
    if text.is_empty() || jiff::tz::TimeZone::get(text).is_ok() {
        Ok(())
    } else {
        Err("Type a name such as Europe/Lisbon, or nothing for this computer's.".into())
    }
}
