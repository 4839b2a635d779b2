//! Bars as nodes: clicks, drags, keys, menus.

use egui::{Id, Key, Modifiers, Response, Sense, Ui, WidgetInfo, accesskit::Role};

use super::{
    drag::{Drag, follower},
    place::Board,
    plate::marks_of,
    sight::Sight,
};
use crate::{
    document::PlateId,
    gui::{look::Look, views::Tab, wish::Wish},
    session::{Action, Session, Timeline},
};

fn id_of(ui: &Ui, plate: PlateId) -> Id {
    ui.scope_id().with(("run", plate))
}

/// Announces every bar in sight and hears what is done to it. Returns a drag that begins.
pub(super) fn show(
    ui: &Ui,
    session: &Session,
    t: &Timeline,
    board: &Board,
    (sight, is_dragging): (&mut Sight, bool),
    wishes: &mut Vec<Wish>,
) -> Option<Drag> {
    let clip = ui.clip_rect();
    let mut begun = None;
    for e in &t.ended {
        let row = t.floor.machines.iter().position(|m| *m == e.machine);
        let Some(bar) = row.and_then(|row| board.frame.bar(row, e.ran, 4.0)) else { continue };
        let rect = board.on_screen(bar).intersect(clip);
        if !rect.is_positive() {
            continue;
        }
        let response = ui.interact(rect, id_of(ui, e.plate), Sense::click());
        let how = if e.failed { "failed" } else { "ended" };
        let machine = session.job().machine(e.machine).map_or("?", |m| m.name.as_str());
        let words = format!("Plate {} on {machine}, {how} {}", e.number, t.calendar.words(e.ran.to_s));
        let chosen = session.plate_id() == Some(e.plate);
        response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, &words));
        hear(session, e.plate, &response, wishes);
    }
    for bench in 0..t.floor.machines.len() {
        for run in t.sequence(bench) {
            let (Some(x), Some(about)) = (t.timed(run), t.about.get(run)) else { continue };
            let Some(bar) = board.frame.bar(bench, x.print, 4.0) else { continue };
            let rect = board.on_screen(bar).intersect(clip);
            if !rect.is_positive() {
                continue;
            }
            let sense = if about.is_running { Sense::click() } else { Sense::click_and_drag() };
            let response = ui.interact(rect, id_of(ui, about.plate), sense);
            let words = t.run_words(session.job(), run);
            let chosen = session.plate_id() == Some(about.plate);
            response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, chosen, &words));
            if response.drag_started() && !is_dragging {
                begun = Some(Drag::new(about.plate, run));
            }
            if response.gained_focus() {
                response.scroll_to_me(None);
            }
            if response.has_focus() {
                keys(ui, session, t, (run, bench), sight, wishes);
            }
            hear(session, about.plate, &response, wishes);
            if !is_dragging {
                response.on_hover_text(told(t, run, &words));
            }
        }
    }
    begun
}

/// What the pointer says of a bar.
fn told(t: &Timeline, run: usize, words: &str) -> String {
    let Some(x) = t.timed(run) else { return words.to_owned() };
    let clock = |s| t.calendar.words(s);
    let range = t.end_range(x);
    let off = x.removal.map_or_else(|| "never taken off".to_owned(), |r| format!("off the bed {}", clock(r.to_s)));
    format!("{words}\nEnds between {} and {} in 95 of 100 prints; {off}", clock(range.from_s), clock(range.to_s))
}

/// A click selects the plate, a double click opens it on the sheet; the menu marks it.
fn hear(session: &Session, plate: PlateId, response: &Response, wishes: &mut Vec<Wish>) {
    if response.clicked() && session.plate_id() != Some(plate) {
        wishes.push(Action::ShowPlate(plate).into());
    }
    if response.double_clicked() {
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

/// Arrows go from bar to bar; with Alt they move the bar.
fn keys(
    ui: &Ui,
    session: &Session,
    t: &Timeline,
    (run, bench): (usize, usize),
    sight: &mut Sight,
    wishes: &mut Vec<Wish>,
) {
    let plate = t.about[run].plate;
    let all = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..egui::EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id_of(ui, plate), all));
    let arrows = [(Key::ArrowLeft, -1, 0), (Key::ArrowRight, 1, 0), (Key::ArrowUp, 0, -1), (Key::ArrowDown, 0, 1)];
    let (mut go, mut carry) = (None, None);
    ui.input_mut(|i| {
        for (key, across, down) in arrows {
            if i.consume_key(Modifiers::ALT, key) {
                carry = Some((across, down));
            } else if i.consume_key(Modifiers::NONE, key) {
                go = Some((across, down));
            }
        }
    });
    if let Some((across, down)) = go
        && let Some(next) = neighbour(t, run, bench, across, down)
    {
        ui.memory_mut(|m| m.request_focus(id_of(ui, t.about[next].plate)));
        if let Some(x) = t.timed(next) {
            let whole = t.drawn(session.job(), None).whole();
            sight.reveal(whole, x.print);
        }
    }
    if let Some((across, down)) = carry
        && let Some((to, before)) = carried(t, run, bench, across, down)
    {
        let (machine, before) = (t.floor.machines[to], before.map(|r| t.about[r].plate));
        wishes.push(Action::MoveRun { plate, machine, before }.into());
    }
}

/// The next bar of the machine, or the one nearest in time on the machine above or below that has any.
fn neighbour(t: &Timeline, run: usize, bench: usize, across: isize, down: isize) -> Option<usize> {
    if across != 0 {
        let sequence = t.sequence(bench);
        let at = sequence.iter().position(|r| *r == run)?;
        return sequence.get(at.checked_add_signed(across)?).copied();
    }
    let from_s = t.timed(run)?.print.from_s;
    let mut to = bench.checked_add_signed(down)?;
    while to < t.floor.machines.len() {
        let near = |r: &usize| t.timed(*r).map_or(i64::MAX, |x| (x.print.from_s - from_s).abs());
        if let Some(next) = t.sequence(to).into_iter().min_by_key(near) {
            return Some(next);
        }
        to = to.checked_add_signed(down)?;
    }
    None
}

/// Where Alt and an arrow take a bar: one place earlier or later, or to the machine above or below.
fn carried(t: &Timeline, run: usize, bench: usize, across: isize, down: isize) -> Option<(usize, Option<usize>)> {
    let sequence: Vec<usize> = t.sequence(bench).into_iter().filter(|r| !t.about[*r].is_running).collect();
    let at = sequence.iter().position(|r| *r == run)?;
    match (across, down) {
        (-1, _) => Some((bench, Some(*sequence.get(at.checked_sub(1)?)?))),
        (1, _) => {
            sequence.get(at + 1)?;
            Some((bench, sequence.get(at + 2).copied()))
        }
        _ => {
            let to = bench.checked_add_signed(down).filter(|b| *b < t.floor.machines.len())?;
            let x = t.timed(run)?;
            Some((to, follower(t, run, to, x.print.from_s + x.print.length_s() / 2)))
        }
    }
}
