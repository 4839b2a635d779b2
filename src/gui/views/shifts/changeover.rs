//! How long somebody is at a machine between two plates.

use egui::{Label, RichText, Ui};

use crate::{
    document::limits::{self, Allowed},
    gui::{
        theme::Theme,
        widgets::{NumberField, Rule, Unit, line, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// What hot beds and cleaning alcohol do. Facts: ISO 13732-1 (from memory) and NIOSH Pocket Guide npgd0359; own wording.
const CAUTION: &str = "Hot parts burn skin: let the bed fall below the removal temperature before you take parts off. Alcohol for cleaning beds is \
     highly flammable: never on a hot bed. The maker's manual and the site's rules apply.";

/// Shows the changeover, all of it assumed until measured.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let now = &session.job().shifts;
    let mut new = now.clone();
    title(ui, "Changeover", |ui| {
        ui.label(RichText::new("assumed until measured").small().color(theme.faint));
    });
    let c = &mut new.changeover;
    let fields: [(&str, Unit, Allowed, &mut f64); 6] = [
        ("part removal", Unit::Seconds, limits::REMOVAL, &mut c.removal_s),
        ("preparation", Unit::Seconds, limits::PREPARING, &mut c.preparing_s),
        ("change of colour", Unit::Seconds, limits::COLOUR_CHANGE, &mut c.colour_change_s),
        ("change of material", Unit::Seconds, limits::MATERIAL_CHANGE, &mut c.material_change_s),
        ("purged at a change", Unit::Plain(" g"), limits::CHANGE_WASTE, &mut c.change_waste_g),
        ("removal temperature", Unit::Celsius, limits::REMOVAL_C, &mut c.removal_c),
    ];
    for (label, unit, allowed, value) in fields {
        line(ui, label, Rule::None, |ui| {
            if let Some(typed) = NumberField::new(label, *value, unit).allowed(allowed).show(ui) {
                *value = typed;
            }
        });
    }
    ui.add_space(4.0);
    ui.add(Label::new(RichText::new(CAUTION).small().color(theme.faint)).wrap());
    if new != *now {
        wishes.push(Action::SetShifts(Box::new(new)).into());
    }
}
