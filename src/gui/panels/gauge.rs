//! A machine-code file beside the estimate of the plate it was made from, and a folder of such files by their time.

use egui::{Align2, Label, RichText, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::{layer_times, table};
use crate::{
    document::PlateId,
    estimate::{
        PlateEstimate,
        gauge::{Measured, beside, layers_beside, least_estimated_layer, lengths_beside},
    },
    finding::Level,
    gui::{
        theme::{self, Theme, size},
        view::View,
        widgets::{link, title},
        wish::Wish,
        words,
    },
    session::{Action, GaugedFolder, Gauging, Session},
};

/// Width of a column of values.
const COLUMN: f32 = 60.0;
/// Height of a folder's list; longer ones are scrolled.
const LIST: f32 = 8.0 * size::ROW;
/// Files that cannot be measured and are told one by one.
const MOST_REFUSED: usize = 4;

/// Shows how far the reading is, or what came of it.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(gauging) = session.gauging() else { return };
    let top = ui.cursor().min;
    title(ui, "Gauge", |ui| {
        ui.add(Label::new(RichText::new(gauging.name()).small().color(theme.faint)).truncate());
    });
    if gauging.measured.is_none() {
        let percent = (gauging.share_done() * 100.0).floor();
        ui.label(RichText::new(format!("Measuring, {percent} % read…")).small().color(theme.faint));
    }
    if let Some(folder) = &gauging.folder {
        files(ui, gauging, folder, theme, wishes);
    }
    let compared = gauging.plate.and_then(|p| session.estimate_to_compare(p));
    if let Some(m) = &gauging.measured {
        sums(ui, session, gauging, m, compared, theme);
    }
    ui.horizontal(|ui| {
        let factor = gauging.measured.as_ref().and_then(|_| session.measured_factor());
        if factor.is_some()
            && link(ui, Action::TakeFactor.name(), true).on_hover_text(Action::TakeFactor.tooltip()).clicked()
        {
            wishes.push(Action::TakeFactor.into());
        }
        let end = if gauging.measured.is_some() { "Close" } else { "Cancel measuring" };
        if link(ui, end, false).clicked() {
            wishes.push(Action::EndGauge.into());
        }
        let alone = gauging.measured.is_some() && gauging.folder.is_none();
        if let Some(folder) = gauging.path.parent().filter(|_| alone) {
            let all = Action::GaugeFolder(folder.to_owned());
            if link(ui, "Whole folder", false).on_hover_text(all.tooltip()).clicked() {
                wishes.push(all.into());
            }
        }
    });
    if let Some(m) = &gauging.measured {
        layer_times::show(ui, &layers_beside(compared.map(|c| c.0), m), theme);
        remarks(ui, session, gauging.plate, m, theme);
    }
    // A new answer is brought into sight, once.
    if gauging.measured.is_some() && view.gauge_in_sight != Some(gauging.id()) {
        view.gauge_in_sight = Some(gauging.id());
        ui.scroll_to_rect(egui::Rect::from_two_pos(top, ui.min_rect().max), Some(egui::Align::Min));
    }
}

/// The folder's files, the shortest first: press one to compare it with the plate.
fn files(ui: &mut Ui, gauging: &Gauging, folder: &GaugedFolder, theme: &Theme, wishes: &mut Vec<Wish>) {
    let head = format!("{} of {} files in {}, shortest first", folder.files.len(), folder.count, folder.name());
    ui.add(Label::new(RichText::new(head).small().color(theme.faint)).truncate());
    if !folder.files.is_empty() {
        lines(ui, gauging, folder, theme, wishes);
    }
    let more = folder.refused.len().saturating_sub(MOST_REFUSED);
    let more = (more > 0).then(|| format!("and {more} more that cannot be measured"));
    for why in folder.refused.iter().take(MOST_REFUSED).chain(&more) {
        ui.add(Label::new(RichText::new(why).small().color(theme.watch)).wrap());
    }
}

fn lines(ui: &mut Ui, gauging: &Gauging, folder: &GaugedFolder, theme: &Theme, wishes: &mut Vec<Wish>) {
    let done = gauging.measured.is_some();
    table::lines(ui, "gauged files", LIST, folder.files.len(), |ui| {
        for (i, file) in folder.files.iter().enumerate() {
            let (name, time) = (file.name(), words::time(file.measured.time_s()));
            let watch = if file.watches > 0 { format!("{} watch", file.watches) } else { String::new() };
            let told = [name.as_str(), &time, &watch].join(" ");
            let sense = if done { Sense::click() } else { Sense::hover() };
            let chosen = done && file.path == gauging.path;
            let (row, response) = table::row(ui, told.trim_end(), chosen, sense);
            let right = row.width();
            let room = if watch.is_empty() { COLUMN } else { 2.0 * COLUMN };
            table::name_cell(ui, row, 0.0, right - room, &name, theme.ink);
            let small = theme::regular(size::SMALL);
            table::cell(ui, row, right - COLUMN, Align2::RIGHT_CENTER, &watch, small.clone(), theme.watch);
            table::cell(ui, row, right, Align2::RIGHT_CENTER, &time, small, theme.ink);
            if response.clicked() {
                wishes.push(Action::ShowGauged(i).into());
            }
        }
    });
}

/// All that is measured in sums, the estimate's beside them and how far they are apart.
fn sums(
    ui: &mut Ui,
    session: &Session,
    gauging: &Gauging,
    m: &Measured,
    compared: Option<(&PlateEstimate, f64)>,
    theme: &Theme,
) {
    let Some((e, old)) = compared else {
        row(ui, "", &["", "measured", ""], theme);
        for (name, measured) in m.items.list().into_iter().chain([("in all", m.time_s())]) {
            row(ui, name, &["", &words::time(measured), ""], theme);
        }
        row(ui, "layers", &["", &m.layers.len().to_string(), ""], theme);
        row(ui, "shortest layer", &["", &least_layer(m), ""], theme);
        for (name, _, mm) in lengths_beside(None, m) {
            row(ui, name, &["", &words::length(mm), ""], theme);
        }
        return;
    };
    let number = gauging.plate.and_then(|p| session.job().plate_number(p));
    let head = number.map_or("estimate".into(), |n| format!("plate {n}"));
    row(ui, "", &[&head, "measured", "difference"], theme);
    let both = |ui: &mut Ui, name: &str, [a, b]: [f64; 2], say: fn(f64) -> String| {
        row(ui, name, &[&say(a), &say(b), &difference(a, b)], theme);
    };
    for (name, estimated, measured) in beside(e, m) {
        both(ui, name, [estimated, measured], words::time);
    }
    both(ui, "layers", [e.layers.len() as f64, m.layers.len() as f64], |n| n.to_string());
    let least = |of: Option<f64>| of.unwrap_or(f64::NAN);
    let estimated = least(least_estimated_layer(e).map(|i| e.layers[i].time_s));
    let measured = least(m.least_layer().map(|i| m.layers[i].time_s));
    both(ui, "shortest layer", [estimated, measured], words::time);
    for (name, estimated_mm, measured_mm) in lengths_beside(Some(e), m) {
        both(ui, name, [estimated_mm.unwrap_or(f64::NAN), measured_mm], words::length);
    }
    if let Some(new) = session.measured_factor() {
        both(ui, "time factor", [old, new], |v| format!("{v:.3}"));
    }
}

/// "+12 %": how much more was measured than estimated; a dash where there is nothing to compare.
fn difference(estimated: f64, measured: f64) -> String {
    let percent = 100.0 * (measured - estimated) / estimated;
    if !percent.is_finite() || estimated <= 0.0 {
        return "–".into();
    }
    let rounded = if percent.abs() < 9.95 { format!("{percent:+.1}") } else { format!("{percent:+.0}") };
    let plain = rounded.trim_start_matches(['+', '-']).chars().all(|c| c == '0' || c == '.');
    if plain { "0 %".into() } else { format!("{} %", rounded.replace('-', "−")) }
}

/// What to be careful about, and what was taken for granted.
fn remarks(ui: &mut Ui, session: &Session, plate: Option<PlateId>, m: &Measured, theme: &Theme) {
    ui.add_space(4.0);
    for r in session.remarks_on(plate, m) {
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

/// A name and its values, each in its column; the last at the right edge.
fn row(ui: &mut Ui, name: &str, values: &[&str; 3], theme: &Theme) {
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 19.0), Sense::hover());
    response.widget_info(|| {
        let told: Vec<&str> = values.iter().copied().filter(|v| !v.is_empty()).collect();
        WidgetInfo::labeled(Role::Label, true, format!("{name} {}", told.join(", ")))
    });
    let small = theme::regular(size::SMALL);
    let ink = if name.is_empty() { theme.faint } else { theme.ink };
    ui.painter().text(rect.left_center(), Align2::LEFT_CENTER, name, small.clone(), theme.faint);
    for (n, value) in values.iter().rev().filter(|v| !v.is_empty()).enumerate() {
        let right = rect.right_center() - Vec2::new(COLUMN * n as f32, 0.0);
        ui.painter().text(right, Align2::RIGHT_CENTER, *value, small.clone(), ink);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_are_signed_shares_of_the_estimate() {
        assert_eq!(difference(100.0, 112.4), "+12 %");
        assert_eq!(difference(100.0, 98.35), "−1.7 %");
        assert_eq!(difference(3.0, 3.000_001), "0 %");
        assert_eq!((difference(0.0, 3.0), difference(f64::NAN, 1.0)), ("–".into(), "–".into()));
    }
}
