//! Clearances that hold for the whole job.

use egui::{RichText, Ui, Vec2};

use crate::{
    document::{
        Machine, Margins,
        limits::{self, Allowed},
    },
    gui::{
        theme::{Theme, size},
        widgets::{Choice, NumberField, Rule, Unit, line, quantity, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// A column narrower than this, points, has one margin a line.
const LEAST_FOR_TWO: f32 = 255.0;
/// A line narrower than this, points, has the short name of the last margin.
const LEAST_FOR_LONG: f32 = 190.0;
/// Between the two columns.
const BETWEEN: f32 = 14.0;

/// Shows the margins, two a line.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    title(ui, "Margins", |ui| {
        if let Some(m) = machine_with_more(session) {
            let mm = quantity::show(m.edge_mm, Unit::Mm);
            let words =
                RichText::new(format!("bed edge of {}: {mm}", m.name)).small().color(Theme::of(ui.visuals()).faint);
            let tip =
                "The larger of the job's edge margin and the machine's own applies. The machine's is set under Machine";
            ui.add(egui::Label::new(words).truncate()).on_hover_text(tip);
        }
    });
    let old = session.job().margins;
    let mut new = old;
    pair(
        ui,
        |ui| {
            let tooltip = "Minimum distance between the outlines of two copies, seen from above";
            number(ui, "gap", tooltip, limits::GAP, &mut new.gap_mm);
        },
        |ui| {
            let tooltip = "Minimum distance from the edge of every bed, for outlines and footings";
            number(ui, "bed edge", tooltip, limits::EDGE, &mut new.edge_mm);
        },
    );
    pair(
        ui,
        |ui| {
            let tooltip = "Minimum distance between the brims or rafts of two copies";
            number(ui, "footing gap", tooltip, limits::FOOTING_GAP, &mut new.footing_gap_mm);
        },
        |ui| {
            // Below "footing gap" it is clear what may merge; there is no room for more beside it.
            let label = if ui.available_width() < LEAST_FOR_LONG { "merge them" } else { "footings may merge" };
            line(ui, label, Rule::Under, |ui| {
                let words = |yes: bool| if yes { "yes" } else { "no" };
                let choices = [(true, "yes".to_owned()), (false, "no".to_owned())];
                let choice = Choice::new("footings may merge", words(old.footings_may_merge)).width(54.0).ruled();
                let tooltip = "Yes: brims or rafts of neighbouring copies may join";
                if let Some(yes) = choice.tooltip(tooltip).show(ui, choices) {
                    new.footings_may_merge = yes;
                }
            });
        },
    );
    if new != old {
        wishes.push(Action::SetMargins(Margins { ..new }).into());
    }
}

/// The machine of the plate shown, where its own edge margin is the larger one.
fn machine_with_more(session: &Session) -> Option<&Machine> {
    let machine = session.job().machine(session.plate()?.machine)?;
    (machine.edge_mm > session.job().margins.edge_mm).then_some(machine)
}

/// Two lines beside each other; one below the other where the column is narrow.
fn pair(ui: &mut Ui, left: impl FnOnce(&mut Ui), right: impl FnOnce(&mut Ui)) {
    ui.spacing_mut().item_spacing = Vec2::ZERO;
    if ui.available_width() < LEAST_FOR_TWO {
        left(ui);
        right(ui);
        return;
    }
    let width = (ui.available_width() - BETWEEN) / 2.0;
    ui.horizontal(|ui| {
        ui.allocate_ui(Vec2::new(width, size::LINE), left);
        ui.add_space(BETWEEN);
        ui.allocate_ui(Vec2::new(width, size::LINE), right);
    });
}

fn number(ui: &mut Ui, label: &str, tooltip: &str, allowed: Allowed, value: &mut f64) {
    line(ui, label, Rule::Under, |ui| {
        let field = NumberField::new(label, *value, Unit::Mm).allowed(allowed).step(0.5).width(60.0).ruled();
        if let Some(v) = field.tooltip(tooltip).show(ui) {
            *value = v;
        }
    });
}
