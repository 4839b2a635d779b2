//! Bars as nodes: clicks, drags, menus.

use egui::{Key, Response, Sense, Ui, WidgetInfo, accesskit::Role};

use super::{
    bar::{Bar, bars, id_of},
    drag::Drag,
    place::Board,
    plate::marks_of,
    sight::Sight,
    steps::steps,
};
use crate::{
    document::PlateId,
    gui::{look::Look, views::Tab, wish::Wish},
    session::{Action, Session, Timeline},
};

/// Announces every bar and hears what is done to it; those in rows out of sight too, so that the keyboard comes to them. Returns a drag that
/// begins.
pub(super) fn show(
    ui: &Ui,
    session: &Session,
    t: &Timeline,
    board: &Board,
    (sight, is_dragging): (&mut Sight, bool),
    wishes: &mut Vec<Wish>,
) -> Option<Drag> {
    let all = bars(t);
    let mut begun = None;
    // The bar that had the keyboard in the last frame, and its row: one that comes to it, or goes to another row with it, is brought into sight.
    let kept = ui.scope_id().with("focused bar");
    let was_focused: Option<(PlateId, usize)> = ui.data(|d| d.get_temp(kept)).flatten();
    let mut focused = None;
    for (n, bar) in all.iter().enumerate() {
        let Some(drawn) = board.frame.bar(bar.row, bar.time, 4.0) else { continue };
        let rect = board.on_screen(drawn);
        let may_move = bar.run.is_some_and(|run| t.about.get(run).is_some_and(|a| !a.is_running));
        let sense = if may_move { Sense::click_and_drag() } else { Sense::click() };
        let response = ui.interact(rect, id_of(ui, bar.plate), sense);
        let chosen = session.plate_id() == Some(bar.plate);
        response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, words(session, t, bar)));
        if let Some(run) = bar.run.filter(|_| response.drag_started() && !is_dragging) {
            begun = Some(Drag::new(bar.plate, run));
        }
        if response.has_focus() {
            focused = Some((bar.plate, bar.row));
            if focused != was_focused {
                response.scroll_to_me(None);
            }
            steps(ui, session, t, (&all, n), sight, wishes);
        }
        hear(session, bar.plate, &response, wishes);
        if response.hovered() && !is_dragging {
            response.on_hover_text(told(session, t, bar));
        }
    }
    ui.data_mut(|d| d.insert_temp(kept, focused));
    begun
}

/// A bar for those who hear it.
fn words(session: &Session, t: &Timeline, bar: &Bar) -> String {
    if let Some(run) = bar.run {
        return t.run_words(session.job(), run);
    }
    let Some(e) = t.ended.iter().find(|e| e.plate == bar.plate) else { return String::new() };
    let how = if e.failed { "failed" } else { "ended" };
    let machine = session.job().machine(e.machine).map_or("?", |m| m.name.as_str());
    format!("Plate {} on {machine}, {how} {}", e.number, t.calendar.words(e.ran.to_s))
}

/// What the pointer says of a bar.
fn told(session: &Session, t: &Timeline, bar: &Bar) -> String {
    let words = words(session, t, bar);
    let Some(x) = bar.run.and_then(|run| t.timed(run)) else { return words };
    let clock = |s| t.calendar.words(s);
    let range = t.end_range(x);
    let off = x.removal.map_or_else(|| "never taken off".to_owned(), |r| format!("off the bed {}", clock(r.to_s)));
    format!("{words}\nEnds between {} and {} in 95 of 100 prints; {off}", clock(range.from_s), clock(range.to_s))
}

/// A click or Enter selects the plate, a double click or Enter once more opens it on the sheet; the menu marks it.
fn hear(session: &Session, plate: PlateId, response: &Response, wishes: &mut Vec<Wish>) {
    let is_shown = session.plate_id() == Some(plate);
    let entered = response.has_focus() && response.ctx.input(|i| i.key_pressed(Key::Enter));
    if response.clicked() && !is_shown {
        wishes.push(Action::ShowPlate(plate).into());
    }
    if response.double_clicked() || (response.clicked() && entered && is_shown) {
        wishes.push(Action::ShowPlate(plate).into());
        wishes.push(Look::View(Tab::Sheet).into());
    }
    response.context_menu(|ui| {
        for mark in marks_of(session, plate) {
            let action = Action::MarkRun(plate, mark);
            let button = ui.add_enabled(action.enabled(session), egui::Button::new(mark.name()));
            let button = if mark.tooltip().is_empty() { button } else { button.on_hover_text(mark.tooltip()) };
            if button.clicked() {
                wishes.push(action.into());
                ui.close();
            }
        }
        ui.separator();
        if ui.button("Open on the sheet").clicked() {
            wishes.push(Action::ShowPlate(plate).into());
            wishes.push(Look::View(Tab::Sheet).into());
            ui.close();
        }
    });
}
