//! A machine-code file beside the estimate of the plate it was made from, and a folder of such files by their time.

use egui::{Align2, Label, RichText, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::{layer_times, table};
use crate::{
    estimate::{
        PlateEstimate,
        gauge::{Measured, beside, layers_beside, least_estimated_layer},
    },
    gui::{
        menu::Wish,
        theme::{self, Theme, size},
        view::View,
        widgets::{link, title},
        words,
    },
    plate::Level,
    session::{Action, GaugedFolder, Gauging, Session},
};

/// Width of a column of values.
const COLUMN: f32 = 72.0;
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
        let end = if gauging.measured.is_some() { "Put away" } else { "Cancel measuring" };
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
        remarks(ui, m, theme);
    }
    // A new answer is brought into sight, once.
    if gauging.measured.is_some() && view.gauge_in_sight != Some(gauging.id()) {
        view.gauge_in_sight = Some(gauging.id());
        ui.scroll_to_rect(egui::Rect::from_two_pos(top, ui.min_rect().max), Some(egui::Align::Min));
    }
}

/// The folder's files, the shortest first: press one to hold it against the plate.
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

/// All that is measured in sums, the estimate's beside them.
fn sums(
    ui: &mut Ui,
    session: &Session,
    gauging: &Gauging,
    m: &Measured,
    compared: Option<(&PlateEstimate, f64)>,
    theme: &Theme,
) {
    let number = gauging.plate.and_then(|p| session.job().plate_number(p));
    let heads = (compared.is_some().then(|| number.map_or("estimate".into(), |n| format!("plate {n}"))), "measured");
    row(ui, "", heads.0.as_deref(), heads.1, theme);
    if let Some((e, _)) = compared {
        for (name, estimated, measured) in beside(e, m) {
            row(ui, name, Some(&words::time(estimated)), &words::time(measured), theme);
        }
        let least = least_estimated_layer(e).map(|i| e.layers[i].time_s);
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
    let path = compared.map(|(e, _)| [e.path.bead_mm, e.path.travel_mm].map(words::length));
    let [bead, travel] = path.map_or([None, None], |p| p.map(Some));
    row(ui, "path with a bead", bead.as_deref(), &words::length(m.bead_mm), theme);
    row(ui, "path without", travel.as_deref(), &words::length(m.travel_mm), theme);
    if let (Some((_, old)), Some(new)) = (compared, session.measured_factor()) {
        row(ui, "time factor", Some(&format!("{old:.3}")), &format!("{new:.3}"), theme);
    }
}

/// What to be careful about, and what was taken for granted.
fn remarks(ui: &mut Ui, m: &Measured, theme: &Theme) {
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
