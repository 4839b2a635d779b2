//! Deal out: the move, how it gets on, and what it came to.

use egui::{RichText, Ui};

use crate::{
    gui::{theme::Theme, widgets::MoveButton, wish::Wish},
    session::{Action, DealRecord, Session},
    studies::DealStanding,
    words,
};

/// Dealing out under way, or waiting for layers. False where there is none.
pub(super) fn under_way(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) -> bool {
    let theme = Theme::of(ui.visuals());
    let faint = |text: String| RichText::new(text).small().color(theme.faint);
    if let Some(dealing) = session.dealing() {
        ui.add(MoveButton::new(&dealing.label, &dealing.what).progress(Some(dealing.done as f32)));
        if let Some(standing) = &dealing.standing {
            ui.label(faint(standing_words(standing)));
        }
    } else if session.deal_is_waiting() {
        ui.label(faint("Deal out begins when the layers are worked out".into()));
    } else {
        return false;
    }
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        for action in [Action::Take, Action::Cancel] {
            let keys = if action == Action::Cancel { "Escape" } else { action.shortcut() };
            let button = ui.add_enabled(action.enabled(session), egui::Button::new(action.name()));
            if button.on_hover_text(format!("{} ({keys})", action.tooltip())).clicked() {
                wishes.push(action.into());
            }
        }
    });
    true
}

/// What it came to last.
pub(super) fn show(ui: &mut Ui, session: &Session) {
    let theme = Theme::of(ui.visuals());
    if let Some(record) = session.dealt() {
        for line in record_words(record) {
            ui.label(RichText::new(line).small().color(theme.faint));
        }
    }
}

/// "14 plates, the last print ends after 51 h 20, 4.1 % after the bound".
fn standing_words(s: &DealStanding) -> String {
    let plates = words::count(s.plates, "plate");
    let end = words::time_short(s.cost.finish_s as f64);
    let gap = match s.gap() {
        Some(g) if g <= 1.0 => format!(", {:.1} % after the bound", 100.0 * g),
        Some(_) => format!(", none before {}", words::long_time(s.bound_s as f64)),
        None => String::new(),
    };
    format!("{plates}, the last print ends after {end}{gap}")
}

/// The end, the bound, what is late.
fn record_words(record: &DealRecord) -> Vec<String> {
    let mut lines = vec![format!("dealt out: the last print ends {}", record.finish_words)];
    lines.extend(Some(record.bound_words.clone()).filter(|w| !w.is_empty()));
    lines.extend(record.late.iter().map(|l| l.words.clone()));
    lines
}
