//! The order: a line a part.

use egui::{Align2, Rect, Sense, Ui, UiBuilder, Vec2};

use super::table;
use crate::{
    document::{Part, limits::WANTED},
    gui::{
        theme::{self, Theme, size},
        view::View,
        widgets::{Chip, NumberField, Unit, link, refusal, take_refused, title},
        wish::Wish,
    },
    session::{Action, Ask, Session},
};

/// Shows the order, its lines at most so high; returns how high they are.
pub(super) fn show(ui: &mut Ui, most: f32, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) -> f32 {
    title(ui, "Order", |ui| {
        let add = Action::Ask(Ask::AddParts);
        if link(ui, add.name(), false).on_hover_text(add.tooltip()).clicked() {
            wishes.push(add.into());
        }
    });
    let wide = ui.available_width();
    let edges = [wide - 86.0, wide - 40.0, wide];
    let head = table::head(
        ui,
        &[
            ("part", 30.0, Align2::LEFT_CENTER),
            ("wanted", edges[0], Align2::RIGHT_CENTER),
            ("placed", edges[1], Align2::RIGHT_CENTER),
            ("good", edges[2], Align2::RIGHT_CENTER),
        ],
    );
    head.on_hover_text(
        "wanted: copies ordered\nplaced: copies on plates\ngood: finished copies without a fault, from the tally",
    );
    ui.add_space(3.0);
    ui.spacing_mut().item_spacing.y = 0.0;
    if session.job().parts.is_empty() {
        let theme = Theme::of(ui.visuals());
        ui.label(egui::RichText::new("Nothing ordered yet: drop mesh files here.").small().color(theme.faint));
    }
    let mut refused = None;
    let height = table::lines(ui, "order lines", most, session.job().parts.len(), |ui| {
        for part in &session.job().parts {
            line(ui, session, part, edges, view, wishes);
            refused = refused.take().or(take_refused(ui).map(|why| format!("{}: {why}", part.letter)));
        }
    });
    if let Some(why) = refused {
        refusal(ui, &why);
    }
    height
}

fn line(ui: &mut Ui, session: &Session, part: &Part, edges: [f32; 3], view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let placed = session.made(part.id);
    let mut name = format!("{}, {}, {} wanted, {placed} placed", part.letter, part.name, part.wanted);
    if !session.job().tally.is_empty() {
        name = format!("{name}, {} good", session.job().tally.good(part.id));
    }
    let chosen = session.part_id() == Some(part.id);
    let (rect, response) = table::row(ui, &name, chosen, Sense::click_and_drag());
    if chosen && view.part_in_sight.replace(part.id) != Some(part.id) {
        response.scroll_to_me(None);
    }
    // A line dragged onto the sheet puts a copy there.
    response.dnd_set_drag_payload(part.id);
    if response.clicked() {
        wishes.push(Action::SelectPart(part.id).into());
    }
    if response.hovered()
        && let Some(plate) = session.plate()
    {
        view.lit_next.extend(plate.copies.iter().filter(|c| c.part == part.id).map(|c| c.id));
    }
    let mut inner = ui.new_child(
        UiBuilder::new()
            .max_rect(Rect::from_center_size(rect.left_center() + Vec2::new(13.0, 0.0), Vec2::new(26.0, 16.0))),
    );
    inner.add(Chip::new(&part.letter, part.hue()));
    table::name_cell(ui, rect, 30.0, edges[0] - 30.0, &part.name, theme.ink);
    let field = Rect::from_min_max(
        egui::Pos2::new(rect.left() + edges[0] - 34.0, rect.center().y - size::FIELD / 2.0),
        egui::Pos2::new(rect.left() + edges[0] + 6.0, rect.center().y + size::FIELD / 2.0),
    );
    let mut cell = ui.new_child(UiBuilder::new().scope_id(ui.scope_id().with(("wanted", part.id))).max_rect(field));
    let label = format!("wanted of {}", part.letter);
    let wanted = NumberField::new(&label, f64::from(part.wanted), Unit::Count)
        .allowed(WANTED)
        .width(40.0)
        .ruled()
        .of(part.id)
        .show(&mut cell);
    if let Some(n) = wanted {
        wishes.push(Action::SetPart(Box::new(Part { wanted: n as u32, ..part.clone() })).into());
    }
    let ink = if placed < part.wanted as usize { theme.watch } else { theme.ink };
    let figures = theme::regular(size::BODY);
    table::cell(ui, rect, edges[1], Align2::RIGHT_CENTER, &placed.to_string(), figures.clone(), ink);
    let (good, ink) = if session.job().tally.is_empty() {
        ("–".to_owned(), theme.faint)
    } else {
        (session.job().tally.good(part.id).to_string(), theme.ink)
    };
    table::cell(ui, rect, edges[2], Align2::RIGHT_CENTER, &good, figures, ink);
    response.context_menu(|ui| {
        for action in part_actions(part) {
            if ui.add_enabled(action.enabled(session), egui::Button::new(action.name())).clicked() {
                wishes.push(action.into());
                ui.close();
            }
        }
    });
}

/// What can be asked of a part beside its particulars.
pub(super) fn part_actions(part: &Part) -> [Action; 5] {
    [
        Action::PlaceOne(part.id),
        Action::TopUp(crate::session::TopUp::Part(part.id)),
        Action::SplitBodies(part.id),
        Action::Ask(Ask::ReplaceMesh(part.id)),
        Action::RemovePart(part.id),
    ]
}
