//! When machines are down.

use egui::{RichText, Ui};

use super::times_text;
use crate::{
    document::{Downtime, Machine, limits::MOST_EXCEPTIONS},
    gui::{
        theme::{Theme, size},
        widgets::{Rule, TextField, line, link, refusal, take_refused, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Shows the downtimes of every machine, each to be changed or removed, and a way to add one.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    title(ui, "Downtimes", |_| ());
    for machine in &session.job().machines {
        let mut new = machine.clone();
        let mut gone = None;
        ui.horizontal(|ui| {
            ui.add(egui::Label::new(RichText::new(&machine.name).color(theme.faint)).truncate());
            ui.add_enabled_ui(machine.downtimes.len() < MOST_EXCEPTIONS, |ui| {
                let name = format!("Add a downtime of {}", machine.name);
                let add = link(ui, "add", false);
                add.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
                if add.on_hover_text("Two hours from now, to be changed here").clicked() {
                    new.downtimes.extend(from_now(session));
                }
            });
        });
        for (n, d) in machine.downtimes.iter().enumerate() {
            let nth = format!("{} of {}", n + 1, machine.name);
            let time = |ui: &mut Ui, label: &str, name: &str, at: jiff::civil::DateTime| {
                line(ui, label, Rule::None, |ui| {
                    let (name, shown) = (format!("{name} of downtime {nth}"), times_text::show(at));
                    let field = TextField::new(&name, &shown).check(times_text::check_some).of((machine.id, n));
                    field.width(size::NAME_WIDTH).show(ui).and_then(|text| times_text::parse(&text).ok().flatten())
                })
            };
            if let Some(from) = time(ui, "from", "beginning", d.from) {
                new.downtimes[n].from = from;
            }
            if let Some(to) = time(ui, "to", "end", d.to) {
                new.downtimes[n].to = to;
            }
            ui.horizontal(|ui| {
                let name = format!("reason of downtime {nth}");
                let field = TextField::new(&name, &d.why).hint("reason").of((machine.id, n)).width(200.0);
                if let Some(why) = field.show(ui) {
                    why.trim().clone_into(&mut new.downtimes[n].why);
                }
                if link(ui, "remove", false).clicked() {
                    gone = Some(n);
                }
            });
            if let Some(why) = take_refused(ui) {
                refusal(ui, &why);
            }
        }
        if let Some(n) = gone {
            new.downtimes.remove(n);
        }
        if new != *machine {
            wishes.push(Action::SetMachine(Box::new(Machine { ..new })).into());
        }
    }
}

fn from_now(session: &Session) -> Option<Downtime> {
    let zone = crate::batch::zone_of(&session.job().shifts.hours);
    let from = session.now().to_zoned_datetime(zone).datetime();
    let to = from.checked_add(jiff::Span::new().hours(2)).ok()?;
    Some(Downtime { from, to, why: String::new() })
}
