//! How firmly a material sticks to the bed, typed or from a pull test.

use egui::{RichText, Ui};

use crate::{
    document::{Adhesion, Column, Material, PullTest, limits},
    gui::{
        theme::Theme,
        widgets::{NumberField, Rule, TextField, Unit, line, link},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Shows the adhesion of a material on the surface of the machine at hand, and a pull test that gives it.
pub(super) fn show(ui: &mut Ui, session: &Session, m: &mut Material, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let machine = session.plate().and_then(|p| session.job().machine(p.machine)).or(session.job().machines.first());
    let surface = machine.map_or_else(String::new, |m| m.surface.clone());
    let (kpa, origin) = m.adhesion_on(&surface);
    let origin = origin.to_owned();
    let mut typed = None;
    line(ui, "adhesion", Rule::None, |ui| {
        let tip = "Stress at which a part lets go of the bed. An assumption until you measure it: planning takes 50 to 300 kPa; no source \
                   gives a value";
        typed = NumberField::new("adhesion", kpa, Unit::Plain(" kPa"))
            .allowed(limits::ADHESION_KPA)
            .step(10.0)
            .of(m.id)
            .tooltip(tip)
            .show(ui);
    });
    if let Some(kpa) = typed {
        let new = Adhesion { surface: surface.clone(), kpa, origin: "typed".into(), pull_test: None };
        match m.adhesions.iter_mut().find(|a| a.surface == surface) {
            Some(old) => *old = new,
            None => m.adhesions.push(new),
        }
    }
    let on = if surface.is_empty() { String::new() } else { format!(" on {surface}") };
    ui.label(RichText::new(format!("adhesion{on}: {origin}")).small().color(theme.faint));
    ui.collapsing("Pull test", |ui| test(ui, m, surface, wishes));
}

/// A column of known size was pushed over at a known height by a known force: what that says of the adhesion.
fn test(ui: &mut Ui, m: &Material, surface: String, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let words = "Print a column without a footing. Push it sideways near its top with a spring scale until it lets go.";
    ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
    let key = ui.scope_id().with(("pull test", m.id));
    let start =
        || PullTest { date: String::new(), column: Column::Round { diameter_mm: 0.0 }, height_mm: 0.0, force_n: 0.0 };
    let mut now: PullTest = ui.data(|d| d.get_temp(key)).unwrap_or_else(start);
    let mut diameter = if let Column::Round { diameter_mm } = now.column { diameter_mm } else { 0.0 };
    for (label, unit, allowed, value) in [
        ("column diameter", Unit::Mm, limits::TEST_DIAMETER, &mut diameter),
        ("push height", Unit::Mm, limits::TEST_HEIGHT, &mut now.height_mm),
        ("push force", Unit::Plain(" N"), limits::TEST_FORCE, &mut now.force_n),
    ] {
        line(ui, label, Rule::None, |ui| {
            if let Some(v) = NumberField::new(label, *value, unit).allowed(allowed).of(m.id).show(ui) {
                *value = v;
            }
        });
    }
    now.column = Column::Round { diameter_mm: diameter };
    line(ui, "test date", Rule::None, |ui| {
        if let Some(text) = TextField::new("test date", &now.date).hint("2026-03-02").of(m.id).show(ui) {
            text.trim().clone_into(&mut now.date);
        }
    });
    ui.data_mut(|d| d.insert_temp(key, now.clone()));
    let kpa = now.adhesion_kpa();
    // Nothing is measured before all three are typed.
    if diameter > 0.0
        && now.height_mm > 0.0
        && now.force_n > 0.0
        && link(ui, &format!("use {kpa:.0} kPa"), false).clicked()
    {
        wishes.push(Action::RecordPullTest { material: m.id, surface, test: now }.into());
    }
}
