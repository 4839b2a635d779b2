//! Where the hours go: lengths in ink.

use egui::{Align2, Pos2, Rect, RichText, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::{
    gui::{
        read,
        theme::{self, Theme, size},
        widgets::title,
        words,
    },
    session::Session,
};

/// Shows what the time of the plate is made of, longest first: every item that takes a second, however short its bar.
pub(crate) fn show(ui: &mut Ui, session: &Session) {
    let theme = Theme::of(ui.visuals());
    let estimate = read::estimate(session);
    title(ui, "Where the hours go", |ui| {
        if let Some(e) = estimate {
            ui.label(RichText::new(words::long_time(e.time_s)).small().color(theme.faint));
        }
    });
    let Some(estimate) = estimate else {
        let nothing = session.plate().is_none_or(|p| p.copies.is_empty());
        let waiting = if nothing { "Nothing to estimate yet.".into() } else { read::working_words(session) };
        let words = read::no_estimate(session).filter(|_| !nothing).map_or(waiting, str::to_owned);
        ui.label(RichText::new(words).small().color(theme.faint));
        return;
    };
    let mut items = estimate.items.list().to_vec();
    for (name, _) in &mut items {
        if *name == "slowing" {
            *name = "slowing to cool";
        }
    }
    items.retain(|(_, s)| *s >= 0.5);
    items.sort_by(|a, b| b.1.total_cmp(&a.1));
    if items.is_empty() {
        ui.label(RichText::new("Nothing to estimate yet.").small().color(theme.faint));
        return;
    }
    let longest = items[0].1;
    for (name, seconds) in items {
        bar(ui, name, seconds, longest, theme);
    }
    ui.add_space(4.0);
    let mut line = format!(
        "{} of filament, {}",
        words::length(estimate.filament.length_mm),
        words::mass(estimate.filament.mass_g)
    );
    if estimate.filament.cost > 0.0 {
        line = format!("{line}, {}", words::cost(estimate.filament.cost, &session.job().currency));
    }
    ui.label(RichText::new(line).small().color(theme.faint));
}

fn bar(ui: &mut Ui, name: &str, seconds: f64, longest: f64, theme: &Theme) {
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 19.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{name} {}", words::time(seconds))));
    let small = theme::regular(size::SMALL);
    ui.painter().text(rect.left_center(), Align2::LEFT_CENTER, name, small.clone(), theme.faint);
    let from = rect.left() + (rect.width() - size::HOURS_BAR) * 0.58;
    let length = (size::HOURS_BAR * (seconds / longest) as f32).max(1.0);
    let at = Pos2::new(from, rect.center().y - size::HOURS_INK / 2.0);
    let ink = Rect::from_min_size(at, Vec2::new(length, size::HOURS_INK));
    ui.painter().rect_filled(ink, 0.0, theme.ink.gamma_multiply(0.75));
    ui.painter().text(rect.right_center(), Align2::RIGHT_CENTER, words::time(seconds), small, theme.ink);
}
