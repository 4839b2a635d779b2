//! What the pointer does on the sheet.

use egui::{Key, PointerButton, Pos2, Response, Ui};

use super::{
    Camera, Drawn, Gesture, Onto, abort, docket_target,
    hand::{additive, angle, landing, round_to},
    keep_out::keep_out_at,
    overlay,
    wheel::wheel,
};
use crate::{
    document::CopyId,
    geom::{Bounds, Point},
    gui::{tally_form::TallyForm, theme::size, view::View, wish::Wish},
    session::{Action, Landing, Session},
};

/// Everything the pointer does on the canvas this frame.
pub(super) fn pointer(
    ui: &Ui,
    canvas: &Response,
    session: &Session,
    drawn: &Drawn,
    view: &mut View,
    wishes: &mut Vec<Wish>,
) {
    wheel(ui, canvas, &mut view.camera);
    let space = ui.input(|i| i.key_down(Key::Space)) && !ui.ctx().text_edit_focused();
    let camera = view.camera;
    let reach_mm = f64::from(4.0_f32) / camera.points_per_mm();
    if canvas.drag_started() {
        canvas.request_focus();
        let at = ui.input(|i| i.pointer.press_origin()).or(canvas.interact_pointer_pos());
        if let Some(at) = at {
            let primary = canvas.drag_started_by(PointerButton::Primary);
            if !primary || space {
                abort(view, wishes);
                view.gesture = Gesture::Pan;
            } else if view.area {
                let from = camera.to_mm(at);
                view.gesture = Gesture::Area { from, to: from };
            } else if let Some(corners) = &mut view.keep_out {
                corners.clear();
                let from = camera.to_mm(at);
                view.gesture = Gesture::KeepOutBox { from, to: from };
            } else if tallying(session, view).is_some() {
                // What was printed lies as it lay: a drag only selects.
                let from = camera.to_mm(at);
                view.gesture = Gesture::Marquee { from, to: from };
            } else if !view.measuring() {
                abort(view, wishes);
                view.gesture = take_hold(ui, session, drawn, &camera, at, reach_mm, wishes);
            }
        }
    }
    if canvas.dragged() {
        follow(ui, canvas, session, view, wishes);
    }
    if canvas.drag_stopped() {
        let_go_of(ui, drawn, session, view, wishes);
    }
    if canvas.clicked()
        && let Some(at) = canvas.interact_pointer_pos()
    {
        canvas.request_focus();
        click(ui, canvas, drawn, session, view, at, reach_mm, wishes);
    }
    if view.keep_out.as_ref().is_some_and(|c| c.len() > 2) && ui.input(|i| i.key_pressed(Key::Enter)) {
        close_keep_out(session, view, wishes);
    }
    let over = ui.input(|i| i.pointer.hover_pos()).filter(|_| canvas.contains_pointer());
    if let Some(at) = over {
        ui.ctx().set_cursor_icon(cursor(session, drawn, view, at, space, reach_mm));
    }
}

/// The form in which the plate shown is being tallied.
pub(super) fn tallying<'a>(session: &Session, view: &'a mut View) -> Option<&'a mut TallyForm> {
    view.tally.as_mut().filter(|f| session.plate_id() == Some(f.plate))
}

fn take_hold(
    ui: &Ui,
    session: &Session,
    drawn: &Drawn,
    camera: &Camera,
    at: Pos2,
    reach_mm: f64,
    wishes: &mut Vec<Wish>,
) -> Gesture {
    let p = camera.to_mm(at);
    let selection = session.selection();
    let additive = additive(ui);
    let box_mm = drawn.bounds_of(selection.iter().copied());
    let can_change = Action::Delete.enabled(session);
    if can_change
        && let Some(frame) = overlay::frame(camera, box_mm)
        && overlay::handle(frame).distance(at) <= size::GRAB
    {
        let centre = box_mm.centre();
        wishes.push(Action::Grab { label: "Turn" }.into());
        return Gesture::Turn { centre, from_rad: angle(p - centre), by_deg: 0.0 };
    }
    match drawn.hit(p, reach_mm) {
        Some(id) => {
            if !selection.contains(&id) {
                wishes.push(Action::Select { copies: vec![id], additive }.into());
            }
            wishes.push(Action::Grab { label: "Move" }.into());
            Gesture::Move { from: p, by: Point::default() }
        }
        None => match session.plate().and_then(|plate| keep_out_at(session, plate, p)).filter(|_| !additive) {
            Some(index) if session.arranging().is_none() => Gesture::KeepOut { index, from: p, by: Point::default() },
            _ => Gesture::Marquee { from: p, to: p },
        },
    }
}

/// The keep-out is drawn to its last corner.
fn close_keep_out(session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let Some(corners) = view.keep_out.take() else { return };
    if let Some(plate) = session.plate() {
        wishes.push(Action::AddKeepOut(plate.machine, corners).into());
    }
}

fn follow(ui: &Ui, canvas: &Response, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let Some(at) = canvas.interact_pointer_pos() else { return };
    let p = view.camera.to_mm(at);
    let modifiers = ui.input(|i| i.modifiers);
    let onto_docket = docket_target(view, session, at).is_some();
    match &mut view.gesture {
        Gesture::Pan => view.camera.pan(canvas.drag_delta()),
        Gesture::Move { from, by } => {
            let mut d = p - *from;
            if modifiers.shift {
                // Along one axis only.
                if d.x.abs() >= d.y.abs() { d.y = 0.0 } else { d.x = 0.0 }
            }
            let step = if view.camera.points_per_mm() > 25.0 { 0.01 } else { 0.1 };
            let to = Point::new(round_to(d.x, step), round_to(d.y, step));
            // Over a line of the docket they wait where they came from.
            let to = if onto_docket { Point::default() } else { to };
            if to != *by {
                *by = to;
                wishes.push(Action::Drag { by: to, turn_deg: 0.0 }.into());
            }
        }
        Gesture::KeepOut { from, by, .. } => {
            let d = p - *from;
            *by = Point::new(round_to(d.x, 0.1), round_to(d.y, 0.1));
        }
        Gesture::Turn { centre, from_rad, by_deg } => {
            let turned = (angle(p - *centre) - *from_rad).to_degrees();
            let step = if modifiers.shift {
                45.0
            } else if modifiers.alt {
                0.1
            } else {
                5.0
            };
            let to = round_to((turned + 180.0).rem_euclid(360.0) - 180.0, step);
            if to != *by_deg {
                *by_deg = to;
                wishes.push(Action::Drag { by: Point::default(), turn_deg: to }.into());
            }
        }
        Gesture::Marquee { to, .. } | Gesture::Area { to, .. } | Gesture::KeepOutBox { to, .. } => *to = p,
        Gesture::None | Gesture::Nudge { .. } => {}
    }
}

fn let_go_of(ui: &Ui, drawn: &Drawn, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let onto = ui.input(|i| i.pointer.latest_pos()).and_then(|at| docket_target(view, session, at));
    let gesture = std::mem::take(&mut view.gesture);
    if let Some(onto) = onto {
        let target = match onto {
            Onto::Plate(plate) => Some(plate),
            Onto::New => None,
        };
        wishes.extend([Action::LetGo.into(), Action::ToPlate(target).into()]);
        return;
    }
    match gesture {
        Gesture::KeepOutBox { from, to } => {
            view.keep_out = None;
            let tenths = |p: Point| Point::new(round_to(p.x, 0.1), round_to(p.y, 0.1));
            let corners = Bounds::of([tenths(from), tenths(to)]).corners().to_vec();
            wishes.extend(session.plate().map(|p| Action::AddKeepOut(p.machine, corners).into()));
        }
        Gesture::KeepOut { index, by, .. } if by != Point::default() => {
            wishes.extend(session.plate().map(|p| Action::MoveKeepOut(p.machine, index, by).into()));
        }
        Gesture::Move { .. } => wishes.push(Action::DropIt(landing(ui)).into()),
        Gesture::Turn { .. } | Gesture::Nudge { .. } => wishes.push(Action::DropIt(Landing::There).into()),
        Gesture::Area { from, to } => {
            view.area = false;
            wishes.push(Action::TopUpArea(Bounds::of([from, to])).into());
        }
        Gesture::Marquee { from, to } => {
            let b = Bounds::of([from, to]);
            let copies: Vec<CopyId> =
                drawn.shown().filter(|s| s.drawn.shadow.bounds().overlaps(b)).map(|s| s.id).collect();
            let mut copies = copies;
            if additive(ui) {
                copies.retain(|id| !session.selection().contains(id));
            }
            wishes.push(Action::Select { copies, additive: additive(ui) }.into());
        }
        Gesture::None | Gesture::Pan | Gesture::KeepOut { .. } => {}
    }
}

#[expect(clippy::too_many_arguments, reason = "one call, everything a click may mean")]
fn click(
    ui: &Ui,
    canvas: &Response,
    drawn: &Drawn,
    session: &Session,
    view: &mut View,
    at: Pos2,
    reach_mm: f64,
    wishes: &mut Vec<Wish>,
) {
    let p = view.camera.to_mm(at);
    if let Some(corners) = &mut view.keep_out {
        let ends = corners.first().is_some_and(|first| first.distance(p) <= reach_mm * 2.0);
        if corners.len() > 2 && (ends || canvas.double_clicked()) {
            close_keep_out(session, view, wishes);
        } else if !ends {
            corners.push(Point::new(round_to(p.x, 0.1), round_to(p.y, 0.1)));
        }
        return;
    }
    if let Some(tape) = &mut view.tape {
        tape.click(drawn.corner_near(p, reach_mm * 2.0).unwrap_or(p));
        return;
    }
    match (drawn.hit(p, reach_mm), tallying(session, view)) {
        (Some(id), Some(form)) => form.toggle(session, id),
        (Some(id), None) => wishes.push(Action::Select { copies: vec![id], additive: additive(ui) }.into()),
        (None, _) if !additive(ui) && Action::SelectNone.enabled(session) => wishes.push(Action::SelectNone.into()),
        (None, _) => {}
    }
}

fn cursor(session: &Session, drawn: &Drawn, view: &View, at: Pos2, space: bool, reach_mm: f64) -> egui::CursorIcon {
    use egui::CursorIcon as Icon;
    match view.gesture {
        Gesture::Pan | Gesture::Turn { .. } => return Icon::Grabbing,
        Gesture::Move { .. } | Gesture::KeepOut { .. } => return Icon::Move,
        _ => {}
    }
    if space {
        return Icon::Grab;
    }
    if view.measuring() || view.area || view.keep_out.is_some() {
        return Icon::Crosshair;
    }
    let bounds = drawn.bounds_of(session.selection().iter().copied());
    if overlay::frame(&view.camera, bounds).is_some_and(|f| overlay::handle(f).distance(at) <= size::GRAB) {
        return Icon::Grab;
    }
    let p = view.camera.to_mm(at);
    let held = drawn.hit(p, reach_mm).is_some()
        || session.plate().is_some_and(|plate| keep_out_at(session, plate, p).is_some());
    if held { Icon::Move } else { Icon::Default }
}
