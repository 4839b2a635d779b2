//! What Pack and Top up prefer among layouts that are equally good.

use egui::Ui;

use crate::{
    document::{BedSide, PlateSpread, Preferences},
    gui::{
        menu::Wish,
        widgets::{Choice, Rule, line},
    },
    session::{Action, Session},
};

/// Width of the choices.
const WIDTH: f32 = 120.0;

/// Shows the preferences as plain choices: each counts in full or not at all; a file may hold weights between.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let old = session.job().preferences;
    let mut new = old;
    let yes_no = [(1.0, "yes".to_owned()), (0.0, "no".to_owned())];
    let word = |weight: f64| if weight > 0.0 { "yes" } else { "no" };
    for (label, tooltip, weight) in [
        ("near the middle", "Where the bed's heat is most even", &mut new.middle),
        ("tall ones back", "Tall copies at the back of the bed", &mut new.tall_back),
        ("tall ones apart", "One that comes loose takes fewer with it", &mut new.tall_apart),
        ("short ways", "Copies that grow equally high beside one another: less travel", &mut new.travel),
    ] {
        line(ui, label, Rule::None, |ui| {
            let choice = Choice::new(label, word(*weight)).width(WIDTH).tooltip(tooltip);
            if let Some(w) = choice.show(ui, yes_no.clone()) {
                *weight = w;
            }
        });
    }
    line(ui, "away from", Rule::None, |ui| {
        let now = old.away_from.filter(|_| old.away > 0.0).map_or("no side", BedSide::word);
        let sides = BedSide::ALL.map(|s| (Some(s), s.word().to_owned()));
        let choices = std::iter::once((None, "no side".to_owned())).chain(sides);
        let choice =
            Choice::new("away from", now).width(WIDTH).tooltip("A side that copies keep away from: a door, a draught");
        if let Some(side) = choice.show(ui, choices) {
            new.away_from = side;
            new.away = if side.is_some() { 1.0 } else { 0.0 };
        }
    });
    line(ui, "plates filled", Rule::None, |ui| {
        let tooltip = "Several plates: full and the last one with the rest, or evenly. Neither costs a plate";
        let choice = Choice::new("plates filled", old.spread.words()).width(WIDTH).tooltip(tooltip);
        if let Some(spread) = choice.show(ui, PlateSpread::ALL.map(|s| (s, s.words().to_owned()))) {
            new.spread = spread;
        }
    });
    if new != old {
        wishes.push(Action::SetPreferences(Preferences { ..new }).into());
    }
}
