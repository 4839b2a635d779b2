//! Clearances that hold for the whole job.

use egui::Ui;

use crate::{
    document::Margins,
    gui::{
        menu::Wish,
        widgets::{Choice, NumberField, Rule, Unit, line, title},
    },
    session::{Action, Session},
};

/// Shows the margins.
pub(crate) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    title(ui, "Margins", |_| ());
    ui.spacing_mut().item_spacing.y = 0.0;
    let old = session.job().margins;
    let mut new = old;
    number(ui, "gap", "Least distance between two copies' shadows", &mut new.gap_mm);
    number(ui, "bed edge", "Least distance of a shadow or a footing from the bed's edge", &mut new.edge_mm);
    number(ui, "footing gap", "Least distance between two copies' footings", &mut new.footing_gap_mm);
    line(ui, "footings may merge", Rule::Under, |ui| {
        let words = |yes: bool| if yes { "yes" } else { "no" };
        let choices = [(true, "yes".to_owned()), (false, "no".to_owned())];
        let choice = Choice::new("footings may merge", words(old.footings_may_merge)).width(64.0);
        if let Some(yes) = choice.show(ui, choices) {
            new.footings_may_merge = yes;
        }
    });
    if new != old {
        wishes.push(Action::SetMargins(Margins { ..new }).into());
    }
}

fn number(ui: &mut Ui, label: &str, tooltip: &str, value: &mut f64) {
    line(ui, label, Rule::Under, |ui| {
        let field = NumberField::new(label, *value, Unit::Mm).range(0.0, 100.0).step(0.5).width(96.0).ruled();
        if let Some(v) = field.tooltip(tooltip).show(ui) {
            *value = v;
        }
    });
}
