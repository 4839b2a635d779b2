//! What to start now, figures and findings.

use egui::{Label, RichText, Sense, Ui, WidgetInfo, accesskit::Role};

use crate::{
    batch::UnitTimes,
    document::PlateId,
    finding::Finding,
    gui::{
        panels::findings,
        theme::{self, Theme, size},
        view::View,
        widgets::{reading, title},
        wish::Wish,
    },
    session::{Action, Session, Timeline, WhatNow},
    words,
};

/// Between two columns, points.
const GUTTER: f32 = 22.0;
/// Narrower than this the lists stand one below the other.
const TWO_COLUMNS: f32 = 560.0;

/// Shows the lists, side by side where there is room.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let Some(t) = session.timeline() else { return };
    if ui.available_width() >= TWO_COLUMNS {
        let usual = std::mem::replace(&mut ui.spacing_mut().item_spacing.x, GUTTER);
        ui.columns(2, |columns| {
            let [left, right] = columns else { return };
            for ui in [&mut *left, &mut *right] {
                ui.spacing_mut().item_spacing.x = usual;
            }
            // Columns of the toolkit stretch their lines of text.
            let plain = egui::Layout::top_down(egui::Align::Min);
            left.with_layout(plain, |ui| {
                start_now(ui, session, t, wishes);
                ui.add_space(size::SECTION);
                figures(ui, session, t);
            });
            right.with_layout(plain, |ui| noticed(ui, session, view, wishes));
        });
    } else {
        start_now(ui, session, t, wishes);
        ui.add_space(size::SECTION);
        noticed(ui, session, view, wishes);
        ui.add_space(size::SECTION);
        figures(ui, session, t);
    }
}

/// For each machine the plate to start, when it ends, and who is there then.
fn start_now(ui: &mut Ui, session: &Session, t: &Timeline, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    title(ui, "Start now", |_| ());
    for next in t.start_now() {
        let machine = session.job().machine(next.machine).map_or("?", |m| m.name.as_str());
        let plate: Option<PlateId> = match next.what {
            WhatNow::Start { plate, .. } | WhatNow::Runs { plate, .. } | WhatNow::Overdue { plate, .. } => Some(plate),
            WhatNow::Nothing => None,
        };
        let said = t.start_words(next.what);
        let mut job = egui::text::LayoutJob::default();
        let format = |font, ink| egui::TextFormat::simple(font, ink);
        job.append(&words::plain(machine), 0.0, format(theme::bold(size::BODY), theme.ink));
        let ink = if plate.is_some() { theme.ink } else { theme.faint };
        job.append(&said, 8.0, format(theme::regular(size::BODY), ink));
        let sense = if plate.is_some() { Sense::click() } else { Sense::hover() };
        let response = ui.add(Label::new(job).wrap().sense(sense));
        let role = if plate.is_some() { Role::Button } else { Role::Label };
        response.widget_info(|| WidgetInfo::labeled(role, true, format!("{machine}: {said}")));
        if response.clicked()
            && let Some(plate) = plate
        {
            wishes.push(Action::ShowPlate(plate).into());
        }
        ui.add_space(2.0);
    }
}

fn noticed(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let all: Vec<&Finding> = session.shift_findings().iter().collect();
    findings::list(ui, &all, "No findings.", view, wishes);
}

/// Figures named after ISO 22400-2, of all machines that run anything.
fn figures(ui: &mut Ui, session: &Session, t: &Timeline) {
    let theme = Theme::of(ui.visuals());
    title(ui, "Figures", |ui| {
        ui.label(RichText::new("planned, named after ISO 22400-2").small().color(theme.faint));
    });
    let share = |r: Option<f64>| r.map_or_else(|| "–".to_owned(), |r| format!("{:.0} %", 100.0 * r));
    let time = |s: i64| words::time(s as f64);
    let all: UnitTimes = t.times_of_all();
    for (label, value, tip) in [
        ("availability", share(all.availability()), "Production time ÷ planned busy time"),
        ("utilisation efficiency", share(all.utilisation()), "Production time ÷ busy time"),
        ("allocation efficiency", share(all.allocation()), "Busy time ÷ planned busy time"),
        ("production time", time(all.production_s), "Machines print"),
        ("setup time", time(all.setup_s), "Somebody prepares a machine or takes parts off"),
        ("delay time", time(all.delay_s), "A print has ended, and its parts cool or wait for somebody"),
        ("hand work", time(t.hand_work_s()), "What people are at machines for"),
        ("changes of filament", t.plan.cost.changes.to_string(), "Another colour or material than before"),
    ] {
        reading(ui, label, &value).on_hover_text(tip);
    }
    let busy = t.unit_times().into_iter().zip(&t.floor.machines).filter(|(u, _)| u.busy_s() > 0);
    for (unit, id) in busy {
        let machine = session.job().machine(*id).map_or("?", |m| m.name.as_str());
        let value = format!("availability {}, utilisation {}", share(unit.availability()), share(unit.utilisation()));
        reading(ui, &words::plain(machine), &value);
    }
}
