//! Particulars of the plate, and of what it is made with.

use egui::{CollapsingHeader, RichText, Ui};

use super::lines;
use crate::{
    document::{LayerFloor, Plate, Twin},
    edit::PlateSetup,
    estimate::{floor_words, minimum_s},
    gui::{
        look::Look,
        theme::{Theme, size},
        view::View,
        widgets::{Choice, Rule, TextField, line, link, reading, title},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Sides of the squares whose least layer times are told where the time goes by the size of the section.
const SQUARES_MM: [f64; 2] = [5.0, 50.0];

/// Shows the plate.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let job = session.job();
    let number = session.plate().and_then(|p| job.plate_number(p.id));
    title(ui, &number.map_or_else(|| "Job".to_owned(), |n| format!("Plate {n}")), |ui| {
        if number.is_some() {
            ui.label(RichText::new(format!("of {}", job.plates.len())).small().color(theme.faint));
        }
    });
    ui.add_space(2.0);
    line(ui, "title", Rule::None, |ui| {
        if let Some(t) = TextField::new("title", &job.title).width(size::NAME_WIDTH).hint("for the drawing").show(ui) {
            wishes.push(Action::SetTitle(t).into());
        }
    });
    if let Some(plate) = session.plate() {
        setup(ui, session, plate, wishes);
    }
    minimum(ui, session);
    tallied(ui, session, wishes);
    ui.add_space(4.0);
    let plate = session.plate();
    let section = |ui: &mut Ui, name: &str, body: &mut dyn FnMut(&mut Ui)| {
        CollapsingHeader::new(RichText::new(name).size(size::BODY))
            .id_salt(("numbers of", name))
            .show(ui, |ui| body(ui));
    };
    if let Some(plate) = plate.filter(|p| !p.copies.is_empty()) {
        let name = format!("Checklist: {}", super::checklist::summary(session, plate));
        CollapsingHeader::new(RichText::new(name).size(size::BODY))
            .id_salt("checklist")
            .show(ui, |ui| super::checklist::show(ui, session, plate, view, wishes));
    }
    section(ui, "Machine", &mut |ui| {
        super::machine::show(ui, session, plate.map(|p| p.machine).or(job.machines.first().map(|m| m.id)), wishes);
    });
    section(ui, "Material", &mut |ui| {
        super::material::show(ui, session, plate.map(|p| p.material).or(job.materials.first().map(|m| m.id)), wishes);
    });
    section(ui, "Recipe", &mut |ui| {
        super::recipe::show(ui, session, plate.map(|p| p.recipe).or(job.recipes.first().map(|r| r.id)), wishes);
    });
    section(ui, "Spools", &mut |ui| super::spools::show(ui, session, plate, wishes));
    section(ui, "Preferences", &mut |ui| super::preferences::show(ui, session, wishes));
}

/// What came out of the plate, or the way to write it down.
fn tallied(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate().filter(|p| !p.copies.is_empty()) else { return };
    let (mut good, mut bad, mut runs) = (0, 0, 0);
    for o in session.job().tally.of_plate(plate.id) {
        (good, bad, runs) = (good + o.good(), bad + o.bad(), runs + 1);
    }
    if runs > 0 {
        let times = if runs == 1 { String::new() } else { format!(" in {runs} runs") };
        reading(ui, "tallied", &format!("{good} good, {bad} bad{times}"));
    }
    let look = Look::TallyPlate;
    ui.add_enabled_ui(look.enabled(session), |ui| {
        // A plate that has ended waits for it.
        let waits = plate.run.ended.is_some() && runs == 0;
        if link(ui, look.name(), waits).on_hover_text(look.tooltip()).clicked() {
            wishes.push(look.into());
        }
    });
}

/// How long a layer takes at least, before there is any layer: of the plate's material and recipe, or of those that a first
/// plate would get.
fn minimum(ui: &mut Ui, session: &Session) {
    let (job, plate) = (session.job(), session.plate());
    let material = plate.map_or(job.materials.first(), |p| job.material(p.material));
    let recipe = plate.map_or(job.recipes.first(), |p| job.recipe(p.recipe));
    let (Some(material), Some(recipe)) = (material, recipe) else { return };
    let of_square =
        |side_mm: f64| minimum_s(material, recipe, recipe.layer_height_mm, side_mm * side_mm, 4.0 * side_mm);
    let seconds = |s: f64| format!("{s:.1} s");
    let words = match (recipe.floor, of_square(SQUARES_MM[0]), of_square(SQUARES_MM[1])) {
        (LayerFloor::MaterialBySize, Some(small), Some(large)) => {
            let [a, b] = SQUARES_MM;
            format!("{small:.1} to {} ({a} to {b} mm wide)", seconds(large))
        }
        (_, Some(s), _) => seconds(s),
        _ => "none".to_owned(),
    };
    let words_of = floor_words(material, recipe);
    reading(ui, "minimum layer time", &words).on_hover_text(format!("{}: {}", words_of.form, words_of.assumes));
}

/// What the plate is made with.
fn setup(ui: &mut Ui, session: &Session, plate: &Plate, wishes: &mut Vec<Wish>) {
    let job = session.job();
    let old = PlateSetup::of(plate);
    let mut new = old.clone();
    let key = plate.id;
    lines::one_of(ui, "machine", key, &mut new.machine, job.machines.iter().map(|m| (m.id, m.name.as_str())));
    lines::made_of(ui, job, key, (&mut new.material, &mut new.colour, &mut new.recipe));
    if new != old {
        wishes.push(Action::SetPlate(plate.id, new).into());
    }
    printed(ui, session, plate, wishes);
}

/// Once, or twice at once: where the machine has two carriages, or the plate is set to what its machine cannot do.
fn printed(ui: &mut Ui, session: &Session, plate: &Plate, wishes: &mut Vec<Wish>) {
    let two = session.job().machine(plate.machine).is_some_and(|m| m.carriages.is_some());
    if !two && plate.twin.is_none() {
        return;
    }
    line(ui, "printed", Rule::None, |ui| {
        let word = |twin: Option<Twin>| twin.map_or("once", Twin::words);
        let ways = [None, Some(Twin::Shifted), Some(Twin::Handed)];
        let choices = ways.into_iter().filter(|t| two || t.is_none()).map(|t| (t, word(t).to_owned()));
        let tip = "Two carriages print one plate twice in the time of one. Shifted twin: every copy again, half the bed's width \
                   to the right. Handed twin: the mirror image of every copy, about the middle of the bed";
        let choice = Choice::new("printed", word(plate.twin)).of(plate.id).tooltip(tip);
        if let Some(twin) = choice.show(ui, choices) {
            wishes.push(Action::SetTwin(plate.id, twin).into());
        }
    });
}
