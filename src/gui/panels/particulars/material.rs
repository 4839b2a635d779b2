//! A material's numbers, each with where it came from.

use egui::Ui;

use super::numbers::{self, Number, number};
use crate::{
    document::{Fan, Material, MaterialId, check::currency::currency, limits},
    estimate::{film_w_m2_k, film_words},
    gui::{
        widgets::{Choice, Rule, TextField, Unit, line, link},
        wish::Wish,
    },
    session::{Action, Session},
};

const NUMBERS: [Number<Material>; 11] = [
    number("density", Unit::Plain(" g/cm³"), (limits::DENSITY, 0.01), "", |m| &mut m.density_g_cm3),
    number("specific heat", Unit::Plain(" J/(kg K)"), (limits::HEAT_CAPACITY, 50.0), "", |m| {
        &mut m.heat_capacity_j_kg_k
    }),
    number("conductivity", Unit::Plain(" W/(m K)"), (limits::CONDUCTIVITY, 0.01), "", |m| &mut m.conductivity_w_m_k),
    number(
        "deposit temperature",
        Unit::Celsius,
        (limits::DEPOSIT, 5.0),
        "Of the plastic as it leaves the nozzle",
        |m| &mut m.deposit_c,
    ),
    number(
        "limit temperature",
        Unit::Celsius,
        (limits::LIMIT, 1.0),
        "A layer colder than this can carry the next one",
        |m| &mut m.limit_c,
    ),
    number("air temperature", Unit::Celsius, (limits::AIR, 1.0), "Of the air around the part", |m| &mut m.air_c),
    number("heat transfer", Unit::Plain(" W/(m² K)"), (limits::FILM, 1.0), "From the top layer to the air", |m| {
        &mut m.film_w_m2_k
    }),
    number(
        "flexural strength",
        Unit::Plain(" MPa"),
        (limits::FLEXURAL, 5.0),
        "Decides how much of a brim holds before it lifts",
        |m| &mut m.strength.flexural_mpa,
    ),
    number(
        "modulus of elasticity",
        Unit::Plain(" MPa"),
        (limits::MODULUS, 100.0),
        "Of the printed material, in bending",
        |m| &mut m.strength.modulus_mpa,
    ),
    number(
        "thermal expansion",
        Unit::Plain(" · 10⁻⁶/K"),
        (limits::EXPANSION, 5.0),
        "Long parts of much expansion warp",
        |m| &mut m.strength.expansion_um_m_k,
    ),
    number("price per kg", Unit::Plain(""), (limits::COST, 1.0), "In the currency of the job", |m| &mut m.cost_per_kg),
];

/// A clause as a sentence.
fn sentence(clause: &str) -> String {
    let mut letters = clause.chars();
    letters.next().map_or_else(String::new, |first| format!("{}{}.", first.to_uppercase(), letters.as_str()))
}

/// Shows a material of the job.
pub(super) fn show(ui: &mut Ui, session: &Session, id: Option<MaterialId>, wishes: &mut Vec<Wish>) {
    let Some(old) = id.and_then(|id| session.job().material(id)) else { return };
    let mut m = old.clone();
    line(ui, "name", Rule::None, |ui| {
        if let Some(name) = TextField::new("material name", &old.name).of(old.id).show(ui) {
            m.name = name;
        }
    });
    fan(ui, old, &mut m);
    // The field shows what the fan gives; what is typed over it counts from then on.
    let film = film_w_m2_k(&m);
    let mut shown = Material { film_w_m2_k: film, ..m.clone() };
    if numbers::show(ui, old.id, &mut shown, &NUMBERS) {
        let typed = shown.film_w_m2_k != film;
        let (fan, kept) = if typed { (Fan::Typed, shown.film_w_m2_k) } else { (m.fan, m.film_w_m2_k) };
        m = Material { fan, film_w_m2_k: kept, ..shown };
    }
    super::adhesion::show(ui, session, &mut m, wishes);
    line(ui, "currency of the job", Rule::None, |ui| {
        let now = &session.job().currency;
        let field = TextField::new("currency of the job", now).hint("EUR, €");
        if let Some(text) = field.check(|t| currency(t).map_err(|why| sentence(&why))).show(ui) {
            wishes.push(Action::SetCurrency(text.trim().to_owned()).into());
        }
    });
    if m != *old {
        wishes.push(Action::SetMaterial(Box::new(m)).into());
    }
    if !old.origins.is_empty() {
        ui.collapsing("Where these numbers come from", |ui| {
            for (field, origin) in &old.origins {
                ui.add(
                    egui::Label::new(egui::RichText::new(format!("{}: {origin}", field.replace('_', " "))).small())
                        .wrap(),
                );
            }
        });
    }
    ui.horizontal(|ui| {
        if link(ui, "New material like this", false).clicked() {
            let name = format!("{} (2)", old.name);
            wishes.push(Action::AddMaterial(Box::new(Material { name, ..old.clone() })).into());
        }
        let remove = Action::RemoveMaterial(old.id);
        if session.job().materials.len() > 1 && link(ui, remove.name(), false).clicked() {
            wishes.push(remove.into());
        }
    });
}

/// What the heat transfer comes from.
fn fan(ui: &mut Ui, old: &Material, m: &mut Material) {
    let tooltip = film_words(old);
    line(ui, "part fan", Rule::None, |ui| {
        let choices = Fan::ALL.map(|f| (f, f.word().to_owned()));
        let choice = Choice::new("part fan", old.fan.word()).of(old.id).tooltip(&tooltip);
        if let Some(fan) = choice.show(ui, choices) {
            // Typing goes on from what the fan gave.
            m.film_w_m2_k = if fan == Fan::Typed { film_w_m2_k(old).round() } else { m.film_w_m2_k };
            m.fan = fan;
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_take_what_the_table_allows() {
        let one = crate::document::Shop::starter().materials[0].clone();
        numbers::tests::take_what_is_allowed(&one, &NUMBERS, limits::MATERIAL);
    }
}
