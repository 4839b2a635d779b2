//! The sheet while there is no plate: what to do first.

use egui::{Align, Layout, Rect, RichText, Ui, UiBuilder, Vec2};

use crate::{
    document::PartId,
    gui::{
        theme::{self, Theme, size},
        widgets::{MoveButton, link},
        wish::Wish,
    },
    session::{Action, Ask, Scope, Session},
};

/// Width of what is offered.
const WIDTH: f32 = 330.0;
/// Height of the card until it is known.
const USUAL_HEIGHT: f32 = 190.0;
/// Jobs opened lately that are offered.
const RECENT: usize = 4;

/// Shows what to do first; an order line let go here puts a copy on a plate of its own.
pub(super) fn show(ui: &mut Ui, canvas: &egui::Response, inside: Rect, session: &Session, wishes: &mut Vec<Wish>) {
    if let Some(part) = canvas.dnd_release_payload::<PartId>() {
        wishes.push(Action::PlaceOne(*part).into());
    }
    let theme = Theme::of(ui.visuals());
    let ordered = !session.job().parts.is_empty();
    // As high as what it says: known from the frame before.
    let known = ui.scope_id().with("height of the card");
    let height = ui.ctx().data(|d| d.get_temp::<f32>(known)).unwrap_or(USUAL_HEIGHT);
    let room = Rect::from_center_size(inside.center(), Vec2::new(WIDTH.min(inside.width()), height));
    // A card on the bed: grid lines must not run through the words.
    let card = room.expand2(Vec2::new(18.0, 14.0)).intersect(inside);
    ui.painter().rect(card, 3.0, theme.sheet, theme.hairline(), egui::StrokeKind::Inside);
    let builder = UiBuilder::new().max_rect(room.intersect(inside)).layout(Layout::top_down(Align::Min));
    let mut ui = ui.new_child(builder);
    offer(&mut ui, ordered, session, wishes, theme);
    let high = ui.min_rect().height();
    if (high - height).abs() > 0.5 {
        ui.ctx().data_mut(|d| d.insert_temp(known, high));
        ui.ctx().request_repaint();
    }
}

/// What the card says and offers.
fn offer(ui: &mut Ui, ordered: bool, session: &Session, wishes: &mut Vec<Wish>, theme: &Theme) {
    let (head, note) = if ordered {
        (
            "Nothing is placed yet",
            "Enter in the order how many copies are wanted, then place them. Or drag a line of the order here.",
        )
    } else {
        ("An empty sheet", "Drop mesh files (STL, OBJ, 3MF) or a job anywhere on this window, or begin here:")
    };
    ui.label(theme::strong(head).size(size::TITLE).color(theme.ink));
    ui.add(egui::Label::new(RichText::new(note).color(theme.faint)).wrap());
    ui.add_space(8.0);
    let mut offers = vec![("Add parts…", "mesh files", Action::Ask(Ask::AddParts))];
    if ordered {
        offers.insert(0, ("Place the whole order", "on as few plates as possible", Action::Pack(Scope::Order)));
    } else {
        offers.push(("Open a job…", "a saved job", Action::Ask(Ask::Open)));
        if let Some(path) = session.sample_job() {
            offers.push(("Open the sample", "a whole order of hive fittings", Action::Open(path)));
        }
    }
    for (name, does, action) in offers {
        let button = ui.add_enabled(action.enabled(session), MoveButton::new(name, does));
        if button.on_hover_text(action.shortcut()).clicked() {
            wishes.push(action.into());
        }
    }
    let recent: Vec<_> = session.recent().iter().take(RECENT).collect();
    if ordered || recent.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.label(RichText::new("or a recent job").small().color(theme.faint));
    for path in recent {
        let name = path.file_stem().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
        if link(ui, &name, false).on_hover_text(path.display().to_string()).clicked() {
            wishes.push(Action::Open(path.clone()).into());
        }
    }
}
