//! The docket: a line a plate.

use egui::{Align2, Response, Sense, Ui};

use super::table;
use crate::{
    document::Plate,
    finding::Level,
    gui::{
        look::Look,
        read, sheet,
        theme::{self, Theme, size},
        view::View,
        widgets::{link, title},
        wish::Wish,
        words,
    },
    session::{Action, Ask, Session},
};

/// Narrower than this, points, the columns stand closer.
const NARROW: f32 = 250.0;

/// Shows the docket, its lines at most so high; returns how high they are.
pub(super) fn show(ui: &mut Ui, most: f32, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) -> f32 {
    let theme = Theme::of(ui.visuals());
    let plates = &session.job().plates;
    title(ui, "Docket", |ui| {
        let words = match plates.len() {
            0 => String::new(),
            1 => "1 plate".into(),
            n => format!("{n} plates"),
        };
        ui.label(egui::RichText::new(words).small().color(theme.faint));
    });
    let wide = ui.available_width();
    let copies = if wide < NARROW { wide - 118.0 } else { wide - 132.0 };
    let edges = [copies, wide - 62.0, wide];
    table::head(
        ui,
        &[
            ("plate", 0.0, Align2::LEFT_CENTER),
            ("copies", edges[0], Align2::RIGHT_CENTER),
            ("time", edges[1], Align2::RIGHT_CENTER),
        ],
    );
    ui.add_space(3.0);
    ui.spacing_mut().item_spacing.y = 0.0;
    let hand = ui.input(|i| i.pointer.latest_pos());
    let target = hand.and_then(|at| sheet::docket_target(view, session, at));
    let mut lines = Vec::new();
    let height = table::lines(ui, "docket lines", most, plates.len(), |ui| {
        for (i, plate) in plates.iter().enumerate() {
            let response = line(ui, session, i, plate, edges, wishes);
            lines.push((Some(plate.id), response.rect.intersect(ui.clip_rect())));
            if target == Some(sheet::Onto::Plate(plate.id)) {
                taking(ui, response.rect);
            }
            let chosen = session.plate_id() == Some(plate.id);
            if chosen && view.plate_in_sight.replace(plate.id) != Some(plate.id) {
                response.scroll_to_me(None);
            }
        }
    });
    ui.add_space(5.0);
    let action = Action::NewPlate;
    ui.add_enabled_ui(action.enabled(session), |ui| {
        let new = link(ui, action.name(), false);
        if new.clicked() {
            wishes.push(action.into());
        }
        lines.push((None, new.rect.expand(3.0)));
        if target == Some(sheet::Onto::New) {
            taking(ui, new.rect.expand(3.0));
        }
    });
    view.docket_lines = lines;
    height
}

/// The line takes what is dragged.
fn taking(ui: &Ui, rect: egui::Rect) {
    let theme = Theme::of(ui.visuals());
    let wide = rect.expand2(egui::Vec2::new(size::ROW_OVER, 0.0));
    ui.painter().rect_stroke(wide, 3.0, egui::Stroke::new(size::SELECTION, theme.accent), egui::StrokeKind::Inside);
}

fn line(
    ui: &mut Ui,
    session: &Session,
    index: usize,
    plate: &Plate,
    edges: [f32; 3],
    wishes: &mut Vec<Wish>,
) -> Response {
    let theme = Theme::of(ui.visuals());
    let machine = session.job().machine(plate.machine).map_or("", |m| m.name.as_str());
    let (verdict, ink) = verdict(session, plate, theme);
    let time = session
        .view(plate.id)
        .and_then(|v| v.estimate.as_ref())
        .map(|e| e.time_s)
        .map_or_else(|| "…".to_owned(), words::time);
    let number = index + 1;
    let twin = session.job().twin(plate).map_or_else(String::new, |t| format!(" and as many again ({})", t.words()));
    let copies = words::copies(plate.copies.len());
    let name = format!("plate {number}, {machine}, {copies}{twin}, {time}, {verdict}");
    let chosen = session.plate().is_some_and(|p| p.id == plate.id);
    let (rect, response) = table::row(ui, &name, chosen, Sense::click());
    if response.clicked() {
        wishes.push(Action::ShowPlate(plate.id).into());
    }
    if ui.is_rect_visible(rect) {
        cells(ui, session, (number, plate, machine), (rect, edges), (&time, &verdict, ink));
    }
    response.context_menu(|ui| {
        let tally = Look::TallyPlate;
        if ui.add_enabled(!plate.copies.is_empty(), egui::Button::new(tally.name())).clicked() {
            wishes.extend([Action::ShowPlate(plate.id).into(), tally.into()]);
            ui.close();
        }
        let last = session.job().plates.len().saturating_sub(1);
        let mut items: Vec<_> = [Action::DuplicatePlate(plate.id), Action::RemovePlate(plate.id)]
            .into_iter()
            .map(|action| (action.clone(), action.name(), true))
            .collect();
        for ask in [Ask::ExportPlate(plate.id), Ask::RunSheet(plate.id)] {
            let action = Action::Ask(ask);
            items.insert(0, (action.clone(), action.name(), true));
        }
        items.insert(0, (Action::OrderPlate(plate.id, index + 1), "Later in the docket", index < last));
        items.insert(0, (Action::OrderPlate(plate.id, index.saturating_sub(1)), "Earlier in the docket", index > 0));
        for (action, name, possible) in items {
            if ui.add_enabled(possible && action.enabled(session), egui::Button::new(name)).clicked() {
                wishes.push(action.into());
                ui.close();
            }
        }
    });
    response
}

/// What is written on a line.
fn cells(
    ui: &Ui,
    session: &Session,
    (number, plate, machine): (usize, &Plate, &str),
    (rect, edges): (egui::Rect, [f32; 3]),
    (time, verdict, ink): (&str, &str, egui::Color32),
) {
    let theme = Theme::of(ui.visuals());
    let figures = theme::regular(size::BODY);
    let cell = |x, align, text: &str, font, ink| table::cell(ui, rect, x, align, text, font, ink);
    cell(0.0, Align2::LEFT_CENTER, &number.to_string(), theme::bold(size::BODY), theme.ink);
    let copies = crate::drawing::words::copies_on(session.job(), plate);
    let width = |text: &str, font| ui.painter().layout_no_wrap(text.to_owned(), font, theme.ink).size().x;
    let from = width(&session.job().plates.len().to_string(), theme::bold(size::BODY)) + 9.0;
    let to = edges[0] - width(&copies, figures.clone()).max(18.0) - 10.0;
    table::name_cell(ui, rect, from.max(20.0), to, machine, theme.ink);
    cell(edges[0], Align2::RIGHT_CENTER, &copies, figures.clone(), theme.ink);
    cell(edges[1], Align2::RIGHT_CENTER, time, figures, theme.ink);
    cell(edges[2], Align2::RIGHT_CENTER, verdict, theme::bold(size::SMALL), ink);
}

/// "2 stop", "1 watch", "ready".
fn verdict(session: &Session, plate: &Plate, theme: &Theme) -> (String, egui::Color32) {
    let count = |level| read::findings_of(session, plate.id).iter().filter(|f| f.level == level).count();
    let (stops, watches) = (count(Level::Stop), count(Level::Watch));
    if stops > 0 {
        (format!("{stops} stop"), theme.stop)
    } else if watches > 0 {
        (format!("{watches} watch"), theme.watch)
    } else if let Some(good) = session.job().tally.good_of(plate.id) {
        (format!("{} good", good.values().sum::<usize>()), theme.faint)
    } else if plate.copies.is_empty() {
        ("empty".into(), theme.faint)
    } else {
        ("ready".into(), theme.faint)
    }
}
