//! What Pack and Top up prefer among layouts that are equally good.

use egui::Ui;

use crate::{
    document::{BedSide, PlateSpread, Preferences},
    gui::{
        widgets::{Choice, Rule, line},
        wish::Wish,
    },
    session::{Action, Session},
};

/// Width of the choices.
const WIDTH: f32 = 120.0;

/// What a preference may weigh, and how that is said.
const WEIGHTS: [(f64, &str); 4] = [(1.0, "yes"), (0.3, "a little"), (3.0, "a lot"), (0.0, "no")];

/// How a weight is said; those of files may lie between.
fn word(weight: f64) -> &'static str {
    match weight {
        w if w <= 0.0 => "no",
        w if w < 0.6 => "a little",
        w if w < 2.0 => "yes",
        _ => "a lot",
    }
}

/// Shows the preferences as plain choices.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let old = session.job().preferences;
    let mut new = old;
    let weights = WEIGHTS.map(|(weight, word)| (weight, word.to_owned()));
    for (label, tooltip, weight) in [
        ("near the middle", "Where the bed's heat is most even", &mut new.middle),
        ("tall ones back", "Tall copies at the back of the bed", &mut new.tall_back),
        ("tall ones apart", "A tall copy that comes loose knocks over fewer others", &mut new.tall_apart),
        ("short travel", "Copies of equal height lie beside one another", &mut new.travel),
    ] {
        line(ui, label, Rule::None, |ui| {
            let choice = Choice::new(label, word(*weight)).width(WIDTH).tooltip(tooltip);
            if let Some(w) = choice.show(ui, weights.clone()) {
                *weight = w;
            }
        });
    }
    line(ui, "away from", Rule::None, |ui| {
        let now = old.away_from.filter(|_| old.away > 0.0).map_or("no side", BedSide::word);
        let sides = BedSide::ALL.map(|s| (Some(s), s.word().to_owned()));
        let choices = std::iter::once((None, "no side".to_owned())).chain(sides);
        let choice = Choice::new("away from", now)
            .width(WIDTH)
            .tooltip("Copies keep away from this side, for example because of a door or a draught");
        if let Some(side) = choice.show(ui, choices) {
            new.away_from = side;
            new.away = if side.is_some() { 1.0 } else { 0.0 };
        }
    });
    line(ui, "plates filled", Rule::None, |ui| {
        let tooltip =
            "With several plates: full ones and the rest on the last, or all alike. Neither takes an extra plate";
        let choice = Choice::new("plates filled", old.spread.words()).width(WIDTH).tooltip(tooltip);
        if let Some(spread) = choice.show(ui, PlateSpread::ALL.map(|s| (s, s.words().to_owned()))) {
            new.spread = spread;
        }
    });
    if new != old {
        wishes.push(Action::SetPreferences(Preferences { ..new }).into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_are_said_as_they_are_chosen() {
        for (weight, chosen) in WEIGHTS {
            assert_eq!(word(weight), chosen);
        }
    }
}
