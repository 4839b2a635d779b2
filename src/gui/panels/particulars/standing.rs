//! How firmly copies stand, why, and what would help.

use egui::{RichText, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::{
    footing,
    numbers::{self, Number, number},
};
use crate::{
    document::{Assumptions, Part, limits},
    drawing::{self, PT_MM},
    finding::Remedy,
    gui::{
        sheet::Camera,
        theme::Theme,
        view::View,
        widgets::{Unit, link, reading},
        wish::Wish,
    },
    session::{Action, PartStanding, Session},
    stability::{Cause, SideView, margin_words},
};

/// Height of the drawing from the side, points.
const SIDE_HEIGHT: f32 = 150.0;

/// Shows a part's margin against tipping over on the plate shown, for each footing that its copies have there.
pub(super) fn show(ui: &mut Ui, session: &Session, part: &Part, view: &mut View, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate_id() else { return };
    let all = session.view(plate).map_or(&[][..], |v| &v.standing);
    let mine: Vec<&PartStanding> = all.iter().filter(|s| s.part == part.id).collect();
    for s in &mine {
        one(ui, session, part, s, mine.len() > 1, wishes);
        side(ui, &s.judged.side, part, view);
    }
    let action = Action::SuggestedFootings(plate);
    let needing = session.needing_footing(plate);
    let needs =
        |s: &PartStanding| s.judged.suggestion.footing != s.footing && s.judged.judgement.tips_above_mm.is_some();
    if needing > 0 && mine.iter().any(|s| needs(s)) && all.iter().filter(|s| needs(s)).count() > 1 {
        let words = format!("use suggested footings on this plate ({})", crate::words::copies(needing));
        if link(ui, &words, false).on_hover_text(action.tooltip()).clicked() {
            wishes.push(action.into());
        }
    }
    fall(ui, session, view);
    if !mine.is_empty() {
        assumptions(ui, session, wishes);
    }
}

fn one(ui: &mut Ui, session: &Session, part: &Part, s: &PartStanding, named: bool, wishes: &mut Vec<Wish>) {
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
            wishes.extend(uses(ui, session, part, s).map(Wish::from));
        });
        if let Some(cost) = &s.cost {
            let words = format!("{}: {}", footing::words(suggested.footing), cost.words());
            ui.add(egui::Label::new(RichText::new(words).small().color(theme.faint)).wrap());
        }
    } else if !suggested.is_enough {
        ui.add(egui::Label::new(RichText::new(&suggested.reason).small().color(theme.faint)).wrap());
    }
}

/// Takes the suggested footing: for the part where copies follow it, and for copies with one of their own.
fn uses(ui: &mut Ui, session: &Session, part: &Part, s: &PartStanding) -> Option<Action> {
    let footing = s.judged.suggestion.footing;
    let name = footing::words(footing);
    let here = session.plate().map_or(&[][..], |p| &p.copies).iter().filter(|c| s.copies.contains(&c.id));
    let (own, following): (Vec<_>, Vec<_>) = here.partition(|c| c.footing.is_some());
    if !following.is_empty() {
        let tip = "All copies of this part stand on it, on every plate, but for those with a footing of their own";
        if link(ui, &format!("use {name} for part {}", part.letter), false).on_hover_text(tip).clicked() {
            return Some(Action::SetPart(Box::new(Part { footing, ..part.clone() })));
        }
    }
    if !own.is_empty() {
        let tip = "These copies have a footing of their own: the part's does not hold for them";
        let words = format!("use {name} for {} with their own", crate::words::copies(own.len()));
        let words = if own.len() == 1 { words.replace("their own", "its own") } else { words };
        if link(ui, &words, false).on_hover_text(tip).clicked() {
            let copies = own.iter().map(|c| c.id).collect();
            return Some(Action::Remedy(Remedy::SetFooting { copies, footing }));
        }
    }
    None
}

/// The part from the side: contact, footing, and the way of its centre of mass while it grows.
fn side(ui: &mut Ui, side: &SideView, part: &Part, view: &mut View) {
    let theme = Theme::of(ui.visuals());
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), SIDE_HEIGHT), Sense::hover());
    let words = format!(
        "{} from the side: outline, contact and footing, and the way of its centre of mass as it grows",
        part.letter
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let mm = |points: f32| f64::from(points) * PT_MM;
    let scene = drawing::side_outline(side, part.hue(), mm(rect.width()), mm(rect.height()));
    let mut camera = Camera::default();
    camera.set_canvas(rect, scene.view);
    view.painter.paint(&ui.painter_at(rect), &scene.marks, &camera, theme);
    response.on_hover_text("Dashed: the centre of mass while the part grows. Dotted: the edge of what holds it. Thick: contact with the bed");
}

/// The reach of a fall of the copy selected, on demand.
fn fall(ui: &mut Ui, session: &Session, view: &mut View) {
    let theme = Theme::of(ui.visuals());
    let [copy] = session.selection().iter().copied().collect::<Vec<_>>()[..] else {
        view.fall_of = None;
        return;
    };
    let shown = view.fall_of == Some(copy);
    let words = if shown { "hide the reach of a fall" } else { "show the reach of a fall" };
    let tip = "The circle that this copy would sweep if it came loose at the height of its least margin, and what stands in it";
    if link(ui, words, false).on_hover_text(tip).clicked() {
        view.fall_of = if shown { None } else { Some(copy) };
    }
    if let Some(fall) = session.fall_of(copy).filter(|_| view.fall_of == Some(copy)) {
        let mut text = match fall.strikes.len() {
            0 => "A fall would reach no copy that still grows.".to_owned(),
            n => format!("A fall would reach {} still growing: {}.", crate::words::copies(n), fall.strikes.join(", ")),
        };
        if !fall.finished.is_empty() {
            text = format!("{text} Finished by then, and within reach: {}.", fall.finished.join(", "));
        }
        ui.add(egui::Label::new(RichText::new(text).small().color(theme.faint)).wrap());
    }
}

/// What decides the margin.
fn why(s: &PartStanding) -> String {
    let c = &s.judged.conditions;
    let Some(least) = s.judged.judgement.least else { return "This part has no contact with the bed.".into() };
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
