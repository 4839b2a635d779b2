//! Days with other hours: holidays, half days.

use egui::{RichText, Ui};

use super::{spans_text, times_text};
use crate::{
    document::{OtherHours, limits::MOST_EXCEPTIONS},
    gui::{
        theme::Theme,
        widgets::{TextField, link, refusal, take_refused, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Exceptions shown before the rest is only counted.
const MOST: usize = 40;

/// Shows the exceptions, each to be changed or removed, and a way to add one.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let now = &session.job().shifts;
    let mut new = now.clone();
    title(ui, "Other hours", |_| ());
    if now.hours.exceptions.is_empty() {
        ui.label(RichText::new("Holidays and half days are set here.").small().color(theme.faint));
    }
    let mut gone = None;
    for (n, e) in now.hours.exceptions.iter().enumerate().take(MOST) {
        let nth = n + 1;
        let field =
            |ui: &mut Ui, name: &str, text: &str, hint: &str, width: f32, check: fn(&str) -> Result<(), String>| {
                let name = format!("{name} {nth}");
                TextField::new(&name, text).hint(hint).check(check).of(n).width(width).show(ui)
            };
        ui.horizontal(|ui| {
            let days = times_text::show_days(e.from, e.to);
            if let Some(Ok((from, to))) = field(ui, "days of exception", &days, "", 186.0, times_text::check_days)
                .map(|t| times_text::parse_days(&t))
            {
                (new.hours.exceptions[n].from, new.hours.exceptions[n].to) = (from, to);
            }
            if link(ui, "remove", false).clicked() {
                gone = Some(n);
            }
        });
        ui.horizontal(|ui| {
            let hours = spans_text::show(&e.spans);
            if let Some(Ok(spans)) = field(ui, "hours of exception", &hours, "nobody", 130.0, spans_text::check)
                .map(|t| spans_text::parse(&t))
            {
                new.hours.exceptions[n].spans = spans;
            }
            if let Some(name) = field(ui, "name of exception", &e.name, "name", 130.0, |_| Ok(())) {
                name.trim().clone_into(&mut new.hours.exceptions[n].name);
            }
        });
        if let Some(why) = take_refused(ui) {
            refusal(ui, &why);
        }
        ui.add_space(4.0);
    }
    let more = now.hours.exceptions.len().saturating_sub(MOST);
    if more > 0 {
        ui.label(RichText::new(format!("and {more} more")).small().color(theme.faint));
    }
    if let Some(n) = gone {
        new.hours.exceptions.remove(n);
    }
    ui.add_enabled_ui(now.hours.exceptions.len() < MOST_EXCEPTIONS, |ui| {
        if link(ui, "Add a day", false).on_hover_text("A day on which nobody is there, to be changed here").clicked()
            && let Some(day) = next_free(session)
        {
            new.hours.exceptions.push(OtherHours { from: day, to: day, name: String::new(), spans: Vec::new() });
        }
    });
    if new != *now {
        wishes.push(Action::SetShifts(Box::new(new)).into());
    }
}

/// The day after the last exception, or tomorrow.
fn next_free(session: &Session) -> Option<jiff::civil::Date> {
    let hours = &session.job().shifts.hours;
    let today = session.now().to_zoned_datetime(crate::batch::zone_of(hours)).date();
    let last = hours.exceptions.iter().map(|e| e.to).max().unwrap_or(today);
    last.max(today).tomorrow().ok()
}
