//! The moves that place copies, and how they get on.

use egui::{Checkbox, RichText, Ui};

use super::end_by;
use crate::{
    gui::{
        read,
        theme::Theme,
        widgets::{MoveButton, title},
        wish::Wish,
        words,
    },
    session::{Action, Scope, Session, TopUp},
};

/// Shows the moves.
pub(super) fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    title(ui, "Impose", |_| ());
    let theme = Theme::of(ui.visuals());
    if session.arranging().is_some() || session.dealing().is_some() {
        busy(ui);
    }
    if let Some(arranging) = session.arranging() {
        ui.add(MoveButton::new(&arranging.label, &arranging.what).progress(Some(arranging.done as f32)));
        if let Some(standing) = read::standing_words(session) {
            ui.label(RichText::new(standing).small().color(theme.faint));
        }
        ui.add_space(4.0);
        ui.horizontal(|ui| {
            for action in [Action::Take, Action::Cancel] {
                let keys = if action == Action::Cancel { "Escape" } else { action.shortcut() };
                if ui.button(action.name()).on_hover_text(format!("{} ({keys})", action.tooltip())).clicked() {
                    wishes.push(action.into());
                }
            }
        });
        return;
    }
    if super::deal::under_way(ui, session, wishes) {
        return;
    }
    // Where Cancel stood other moves stand now: a press meant for it does not begin one.
    let now = ui.input(|i| i.time);
    let just_ended = ui.data(|d| d.get_temp::<f64>(busy_id())).is_some_and(|at| now - at < JUST_S);
    if just_ended {
        ui.ctx().request_repaint_after_secs(JUST_S as f32);
    }
    ui.add_enabled_ui(!just_ended, |ui| moves(ui, session, wishes));
}

/// How long after a search its buttons are dead, s.
const JUST_S: f64 = 0.4;

fn busy_id() -> egui::Id {
    egui::Id::unique("a search was under way at")
}

/// Remembers that a search is under way.
fn busy(ui: &Ui) {
    let now = ui.input(|i| i.time);
    ui.data_mut(|d| d.insert_temp(busy_id(), now));
}

/// The moves, where none is under way.
fn moves(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let top_up = session.part_id().map_or(TopUp::Order, TopUp::Part);
    let of = session.part_id().and_then(|id| session.job().part(id));
    let letter = of.map_or_else(String::new, |p| format!(" {}", p.letter));
    let (pack, more) = match session.end_by() {
        None => ("tighter, same copies".to_owned(), format!("as many more{letter} as fit")),
        Some(e) => (format!("what ends by {}", e.end), format!("as many more{letter} as end by {}", e.end)),
    };
    for (name, note, action) in
        [("Pack", pack.as_str(), Action::Pack(Scope::Plate)), ("Top up", more.as_str(), Action::TopUp(top_up))]
    {
        let button = ui.add_enabled(action.enabled(session), MoveButton::new(name, note));
        if button.on_hover_text(tooltip(&action)).clicked() {
            wishes.push(action.into());
        }
    }
    ui.horizontal_wrapped(|ui| {
        end_by::choice(ui, session, wishes);
        let mut keep = session.keeps_lying();
        let switch = Action::KeepLying(!keep);
        let checkbox = Checkbox::new(&mut keep, switch.name());
        if ui.add_enabled(switch.enabled(session), checkbox).on_hover_text(switch.tooltip()).changed() {
            wishes.push(switch.into());
        }
    });
    end_by::times(ui, session, wishes);
    // Of the whole order, beside each other: a column of four would push the tables out of a low window.
    ui.columns(2, |columns| {
        for (ui, (name, action)) in
            columns.iter_mut().zip([("Place the order", Action::Pack(Scope::Order)), ("Deal out", Action::Deal)])
        {
            let button = ui.add_enabled(action.enabled(session), MoveButton::new(name, ""));
            if button.on_hover_text(tooltip(&action)).clicked() {
                wishes.push(action.into());
            }
        }
    });
    super::deal::show(ui, session);
    if let Some(plate) = session.plate() {
        let unplaced = session.unplaced_count();
        let mut line = words::copies(plate.copies.len());
        if let Some(density) = session.density(plate.id) {
            line = format!("{line}, {:.1} % covered", 100.0 * density);
        }
        if let Some(bound) = read::bound_words(session, plate) {
            line = format!("{line}; {bound}");
        }
        if unplaced > 0 {
            line = format!("{line}; {unplaced} of the order not placed");
        }
        if let Some(bound) = session.plates_bound().filter(|b| b.value > 1) {
            line = format!("{line}; at least {} plates are needed ({})", bound.value, bound.kind.words());
        }
        ui.label(RichText::new(line).small().color(theme.faint));
    }
}

fn tooltip(action: &Action) -> String {
    let keys = action.shortcut();
    if keys.is_empty() { action.tooltip().to_owned() } else { format!("{} ({keys})", action.tooltip()) }
}
