//! A machine-code file beside the estimate of the plate it was made from.

use egui::{Align2, Label, RichText, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::{
    estimate::gauge::{Measured, beside},
    gui::{
        menu::Wish,
        theme::{self, Theme, size},
        view::View,
        widgets::{link, title},
        words,
    },
    plate::Level,
    session::{Action, Gauging, Session},
};

/// Width of a column of values.
const COLUMN: f32 = 72.0;

/// Shows how far the reading is, or what came of it.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(gauging) = session.gauging() else { return };
    let top = ui.cursor().min;
    title(ui, "Gauge", |ui| {
        ui.add(Label::new(RichText::new(gauging.name()).small().color(theme.faint)).truncate());
    });
    if let Some(m) = &gauging.measured {
        answer(ui, session, gauging, m, theme);
    } else {
        let percent = (gauging.done * 100.0).floor();
        ui.label(RichText::new(format!("Measuring, {percent} % read…")).small().color(theme.faint));
    }
    ui.horizontal(|ui| {
        let factor = gauging.measured.as_ref().and_then(|_| session.measured_factor());
        if factor.is_some()
            && link(ui, Action::TakeFactor.name(), true).on_hover_text(Action::TakeFactor.tooltip()).clicked()
        {
            wishes.push(Action::TakeFactor.into());
        }
        let end = if gauging.measured.is_some() { "Put away" } else { "Cancel measuring" };
        if link(ui, end, false).clicked() {
            wishes.push(Action::EndGauge.into());
        }
    });
    // A new answer is brought into sight, once.
    if gauging.measured.is_some() && view.gauge_in_sight != Some(gauging.id()) {
        view.gauge_in_sight = Some(gauging.id());
        ui.scroll_to_rect(egui::Rect::from_two_pos(top, ui.min_rect().max), Some(egui::Align::Min));
    }
}

fn answer(ui: &mut Ui, session: &Session, gauging: &Gauging, m: &Measured, theme: &Theme) {
    let compared = gauging.plate.and_then(|p| session.estimate_to_compare(p));
    let number = gauging.plate.and_then(|p| session.job().plate_number(p));
    let heads = (compared.is_some().then(|| number.map_or("estimate".into(), |n| format!("plate {n}"))), "measured");
    row(ui, "", heads.0.as_deref(), heads.1, theme);
    if let Some((e, _)) = compared {
        for (name, estimated, measured) in beside(e, m) {
            row(ui, name, Some(&words::time(estimated)), &words::time(measured), theme);
        }
        let least = e.layers.iter().map(|l| l.time_s).min_by(f64::total_cmp);
        row(ui, "layers", Some(&e.layers.len().to_string()), &m.layers.len().to_string(), theme);
        row(ui, "least layer", Some(&least.map_or("–".into(), words::time)), &least_layer(m), theme);
        row(ui, "filament", Some(&words::length(e.filament.length_mm)), &words::length(m.filament_mm), theme);
    } else {
        for (name, measured) in m.items.list() {
            row(ui, name, None, &words::time(measured), theme);
        }
        row(ui, "in all", None, &words::time(m.time_s()), theme);
        row(ui, "layers", None, &m.layers.len().to_string(), theme);
        row(ui, "least layer", None, &least_layer(m), theme);
        row(ui, "filament", None, &words::length(m.filament_mm), theme);
    }
    if let (Some((_, old)), Some(new)) = (compared, session.measured_factor()) {
        row(ui, "time factor", Some(&format!("{old:.3}")), &format!("{new:.3}"), theme);
    }
    ui.add_space(4.0);
    for r in m.remarks() {
        let ink = if r.level == Level::Watch { theme.watch } else { theme.faint };
        let text = format!("{}: {}", r.level.word(), r.text);
        ui.add(Label::new(RichText::new(text).small().color(ink)).wrap());
    }
    let assumed = m.assumptions().join("; ");
    ui.add(Label::new(RichText::new(format!("Assumed: {assumed}.")).small().color(theme.faint)).wrap());
}

fn least_layer(m: &Measured) -> String {
    m.least_layer().map_or("–".into(), |i| words::time(m.layers[i].time_s))
}

/// A name and one or two values.
fn row(ui: &mut Ui, name: &str, estimated: Option<&str>, measured: &str, theme: &Theme) {
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 19.0), Sense::hover());
    response.widget_info(|| {
        let both = estimated.map_or_else(String::new, |e| format!("{e}, "));
        WidgetInfo::labeled(Role::Label, true, format!("{name} {both}{measured}"))
    });
    let small = theme::regular(size::SMALL);
    let head = name.is_empty();
    let ink = if head { theme.faint } else { theme.ink };
    ui.painter().text(rect.left_center(), Align2::LEFT_CENTER, name, small.clone(), theme.faint);
    let left = rect.right_center() - Vec2::new(COLUMN, 0.0);
    ui.painter().text(rect.right_center(), Align2::RIGHT_CENTER, measured, small.clone(), ink);
    if let Some(e) = estimated {
        ui.painter().text(left, Align2::RIGHT_CENTER, e, small, ink);
    }
}
