//! How firmly copies stand, why, and what would help.

use egui::{RichText, Ui};

use super::{
    footing,
    numbers::{self, Number, number},
};
use crate::{
    document::{Assumptions, PartId, limits},
    gui::{
        theme::Theme,
        widgets::{Unit, link, reading},
        wish::Wish,
    },
    session::{Action, PartStanding, Session},
    stability::{Cause, margin_words},
};

/// Shows a part's margin against tipping over on the plate shown, for each footing that its copies have there.
pub(super) fn show(ui: &mut Ui, session: &Session, part: PartId, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate_id() else { return };
    let all = session.view(plate).map_or(&[][..], |v| &v.standing);
    let mine: Vec<&PartStanding> = all.iter().filter(|s| s.part == part).collect();
    for s in &mine {
        one(ui, session, s, mine.len() > 1, wishes);
    }
    let action = Action::SuggestedFootings(plate);
    let needing = session.needing_footing(plate);
    if needing > 0 && all.len() > 1 {
        let words = format!("suggested footings for all {needing} copies that need one");
        if link(ui, &words, false).on_hover_text(action.tooltip()).clicked() {
            wishes.push(action.into());
        }
    }
    if !mine.is_empty() {
        assumptions(ui, session, wishes);
    }
}

fn one(ui: &mut Ui, session: &Session, s: &PartStanding, named: bool, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let judged = &s.judged;
    let label = if named { format!("margin, {}", footing::words(s.footing)) } else { "tip-over margin".to_owned() };
    let text = match judged.judgement.least {
        Some(l) => format!("{} at {:.1} mm", margin_words(l.margin), l.height_mm),
        None => "–".to_owned(),
    };
    reading(ui, &label, &text).on_hover_text(why(s));
    let suggested = &judged.suggestion;
    if suggested.footing != s.footing && suggested.margin > judged.judgement.margin() {
        ui.add(egui::Label::new(RichText::new(&suggested.reason).small().color(theme.faint)).wrap());
        ui.add_enabled_ui(session.arranging().is_none(), |ui| {
            if link(ui, &format!("use {}", footing::words(suggested.footing)), false).clicked() {
                let remedy =
                    crate::finding::Remedy::SetFooting { copies: s.copies.clone(), footing: suggested.footing };
                wishes.push(Action::Remedy(remedy).into());
            }
        });
    } else if !suggested.is_enough {
        ui.add(egui::Label::new(RichText::new(&suggested.reason).small().color(theme.faint)).wrap());
    }
}

/// What decides the margin.
fn why(s: &PartStanding) -> String {
    let c = &s.judged.conditions;
    let Some(least) = s.judged.judgement.least else { return "This part holds nothing.".into() };
    let decided = match least.cause {
        Cause::Push => {
            format!("Allowed stress of the adhesion ÷ stress from a sideways push of {} N at this height", c.sideways_n)
        }
        Cause::Balance => {
            "The centre of mass comes nearest to the edge of what the part stands on at this height".into()
        }
    };
    format!(
        "{decided}. Contact {:.0} mm² with its footing; adhesion {:.0} kPa, safety factor {}. Below 1 it could tip over. A ranking, not a \
         promise: real parts peel, and the forces are assumed",
        s.judged.stance.area_mm2,
        c.adhesion_mpa * 1000.0,
        c.safety_factor
    )
}

const ASSUMED: [Number<Assumptions>; 2] = [
    number(
        "sideways force",
        Unit::Plain(" N"),
        (limits::SIDEWAYS, 0.1),
        "Of the nozzle against the topmost layer. An assumption: 0.5 to 5 N; no source gives it",
        |a| &mut a.sideways_n,
    ),
    number("safety factor", Unit::Plain(""), (limits::SAFETY, 0.1), "The adhesion is divided by it", |a| {
        &mut a.safety_factor
    }),
];

/// What is assumed, in the open.
fn assumptions(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let now = &session.job().assumptions;
    let mut new = now.clone();
    if numbers::show(ui, "assumptions", &mut new, &ASSUMED) {
        // A typed value is not an assumption of ours any more.
        for (field, changed) in [
            ("sideways_n", new.sideways_n != now.sideways_n),
            ("safety_factor", new.safety_factor != now.safety_factor),
        ] {
            if changed {
                new.origins.insert(field.to_owned(), "typed".to_owned());
            }
        }
        wishes.push(Action::SetAssumptions(new).into());
    }
}
