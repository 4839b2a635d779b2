//! What the pointer and the arrow keys are doing on the sheet.

use egui::{Key, Modifiers, PointerButton, Pos2, Response, Ui};

use super::{Camera, Drawn, Tape, overlay};
use crate::{
    document::{CopyId, Plate, PlateId},
    geom::{Bounds, Point},
    gui::{look::Look, menu::Wish, theme::size, view::View},
    session::{Action, Landing, Session},
};

/// What is going on.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) enum Gesture {
    /// Nothing.
    #[default]
    None,
    /// The drawing follows the hand.
    Pan,
    /// What is selected follows the hand.
    Move {
        /// Where the hand took hold, mm.
        from: Point,
        /// How far it came, mm.
        by: Point,
    },
    /// What is selected turns with the hand.
    Turn {
        /// The middle, mm.
        centre: Point,
        /// Where the hand took hold, radians.
        from_rad: f64,
        /// How far it came, degrees.
        by_deg: f64,
    },
    /// A box is drawn round what is to be selected.
    Marquee {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A box is drawn round what is to be topped up.
    Area {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A box is drawn for a keep-out.
    KeepOutBox {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A keep-out follows the hand.
    KeepOut {
        /// Which of its machine's, from 0.
        index: usize,
        /// Where the hand took hold, mm.
        from: Point,
        /// How far it came, mm.
        by: Point,
    },
    /// Arrow keys are held down.
    Nudge {
        /// How far, mm.
        by: Point,
    },
}

impl Gesture {
    /// Does it hold a change of the job open?
    fn holds_job(self) -> bool {
        matches!(self, Self::Move { .. } | Self::Turn { .. } | Self::Nudge { .. })
    }
    /// What to write beside the pointer meanwhile.
    pub(super) fn words(self, ui: &Ui) -> Option<String> {
        match self {
            Self::Move { by, .. } => {
                let ends = match landing(ui) {
                    Landing::There => "",
                    Landing::NearestFree => ", then to the nearest free place",
                    Landing::PushAside => ", and others make room",
                };
                Some(format!("{:+.1} across, {:+.1} up{ends}", by.x, by.y))
            }
            Self::KeepOut { by, .. } => Some(format!("keep-out {:+.1} across, {:+.1} up", by.x, by.y)),
            Self::KeepOutBox { from, to } => {
                let size = Bounds::of([from, to]);
                Some(format!("keep-out {:.1} × {:.1} mm", size.width(), size.height()))
            }
            Self::Nudge { by } => Some(format!("{:+.1} across, {:+.1} up", by.x, by.y)),
            Self::Turn { by_deg, .. } => Some(format!("turn {by_deg:+.1}°")),
            Self::Area { from, to } => {
                let size = Bounds::of([from, to]);
                Some(format!("top up {:.1} × {:.1} mm", size.width(), size.height()))
            }
            _ => None,
        }
    }
}

/// Ends a gesture as if it had not happened. True when there was one.
pub(crate) fn abort(view: &mut View, wishes: &mut Vec<Wish>) -> bool {
    let running = std::mem::take(&mut view.gesture);
    let area = std::mem::take(&mut view.area);
    let keep_out = view.keep_out.take().is_some();
    if running.holds_job() {
        wishes.push(Action::LetGo.into());
    }
    area || keep_out || running != Gesture::None
}

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

/// The keep-out on top at a point of the bed: which of its machine's, from 0.
pub(super) fn keep_out_at(session: &Session, plate: &Plate, p: Point) -> Option<usize> {
    let machine = session.job().machine(plate.machine)?;
    machine.keep_outs.iter().rposition(|k| k.region().contains(p))
}

/// A line of the docket onto which copies can be let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Onto {
    /// A plate's.
    Plate(PlateId),
    /// The one for a new plate.
    New,
}

/// The line of the docket under the pointer onto which what is dragged can be let go.
pub(crate) fn docket_target(view: &View, session: &Session, at: Pos2) -> Option<Onto> {
    if !matches!(view.gesture, Gesture::Move { .. }) {
        return None;
    }
    let line = view.docket_lines.iter().find(|(_, rect)| rect.contains(at))?.0;
    match line {
        Some(plate) => (session.plate_id() != Some(plate)).then_some(Onto::Plate(plate)),
        None => Some(Onto::New),
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
    match drawn.hit(p, reach_mm) {
        Some(id) => wishes.push(Action::Select { copies: vec![id], additive: additive(ui) }.into()),
        None if !additive(ui) && Action::SelectNone.enabled(session) => wishes.push(Action::SelectNone.into()),
        None => {}
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

/// The wheel zooms; two fingers pan, and zoom when they part.
fn wheel(ui: &Ui, canvas: &Response, camera: &mut Camera) {
    let Some(at) = ui.input(|i| i.pointer.hover_pos()).filter(|_| canvas.contains_pointer()) else { return };
    let events = ui.input(|i| i.events.clone());
    for event in events {
        match event {
            egui::Event::MouseWheel { unit, delta, modifiers, .. } => match unit {
                egui::MouseWheelUnit::Point if !modifiers.command => camera.pan(delta),
                egui::MouseWheelUnit::Line | egui::MouseWheelUnit::Page if modifiers.shift => {
                    camera.pan(egui::Vec2::new(delta.y + delta.x, 0.0) * 40.0);
                }
                _ => {
                    let notches = if unit == egui::MouseWheelUnit::Point { delta.y / 50.0 } else { delta.y };
                    camera.zoom_at(at, 1.15_f64.powf(f64::from(notches)));
                }
            },
            egui::Event::Zoom(factor) => camera.zoom_at(at, f64::from(factor)),
            _ => {}
        }
    }
}

/// Arrow keys: 1 mm, with Shift 10 mm, with Alt 0.1 mm. Held down, they are one change.
pub(super) fn arrows(ui: &Ui, canvas: &Response, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    const ARROWS: [(Key, f64, f64); 4] = [
        (Key::ArrowLeft, -1.0, 0.0),
        (Key::ArrowRight, 1.0, 0.0),
        (Key::ArrowUp, 0.0, 1.0),
        (Key::ArrowDown, 0.0, -1.0),
    ];
    let focus = ui.memory(egui::Memory::focused);
    let ours = focus.is_none_or(|id| id == canvas.id);
    let mut step = Point::default();
    if ours && Action::Nudge(0.0, 0.0).enabled(session) {
        ui.input_mut(|i| {
            i.events.retain(|e| {
                let egui::Event::Key { key, pressed: true, modifiers, .. } = e else { return true };
                let Some((_, x, y)) = ARROWS.iter().find(|(k, _, _)| k == key) else { return true };
                let size = if modifiers.contains(Modifiers::SHIFT) {
                    10.0
                } else if modifiers.contains(Modifiers::ALT) {
                    0.1
                } else {
                    1.0
                };
                step += Point::new(x * size, y * size);
                false
            });
        });
    }
    if step != Point::default() {
        let by = match &mut view.gesture {
            Gesture::Nudge { by } => {
                *by += step;
                *by
            }
            Gesture::None => {
                wishes.push(Action::Grab { label: "Nudge" }.into());
                view.gesture = Gesture::Nudge { by: step };
                step
            }
            _ => return,
        };
        wishes.push(Action::Drag { by, turn_deg: 0.0 }.into());
    }
    let held = ui.input(|i| ARROWS.iter().any(|(k, _, _)| i.key_down(*k)));
    if matches!(view.gesture, Gesture::Nudge { .. }) && !held {
        view.gesture = Gesture::None;
        wishes.push(Action::DropIt(Landing::There).into());
    }
}

/// Does what concerns the window alone.
pub(crate) fn look(what: Look, session: &Session, view: &mut View, whole: Bounds, wishes: &mut Vec<Wish>) {
    match what {
        Look::WholeBed => view.camera.fit(whole),
        Look::Selection => view.reveal = true,
        Look::Larger | Look::Smaller => {
            let factor = if what == Look::Larger { 1.25 } else { 0.8 };
            view.camera.zoom_at(view.camera.canvas().center(), factor);
        }
        Look::Measure => view.tape = if view.tape.is_some() { None } else { Some(Tape::default()) },
        Look::TopUpArea => {
            view.area = !view.area;
            view.tape = None;
        }
        Look::KeepOut => {
            view.keep_out = if view.keep_out.is_some() { None } else { Some(Vec::new()) };
            view.tape = None;
            view.area = false;
        }
        Look::GapRings => view.gap_rings = !view.gap_rings,
        Look::NextCopy => step(session, view, 1, wishes),
        Look::PreviousCopy => step(session, view, -1, wishes),
        _ => {}
    }
}

/// Selects the next copy of the plate, or the one before.
fn step(session: &Session, view: &mut View, by: isize, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate() else { return };
    let n = plate.copies.len().cast_signed();
    if n == 0 {
        return;
    }
    let now = plate.copies.iter().position(|c| session.selection().contains(&c.id));
    let next = match now {
        Some(i) => (i.cast_signed() + by).rem_euclid(n),
        None if by > 0 => 0,
        None => n - 1,
    };
    let copies = vec![plate.copies[next as usize].id];
    wishes.push(Action::Select { copies, additive: false }.into());
    view.reveal = true;
}

/// How a drag ends with the keys that are held down.
fn landing(ui: &Ui) -> Landing {
    let keys = ui.input(|i| i.modifiers);
    if keys.alt {
        Landing::NearestFree
    } else if keys.command {
        Landing::PushAside
    } else {
        Landing::There
    }
}

fn additive(ui: &Ui) -> bool {
    ui.input(|i| i.modifiers.shift || i.modifiers.command)
}

fn angle(v: Point) -> f64 {
    v.y.atan2(v.x)
}

fn round_to(v: f64, step: f64) -> f64 {
    let rounded = (v / step).round() * step;
    // Back to as few digits as were meant.
    (rounded * 1000.0).round() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_numbers() {
        assert_eq!(round_to(12.349_999, 0.1), 12.3);
        assert_eq!(round_to(-0.04, 0.1), 0.0);
        assert_eq!(round_to(47.4, 5.0), 45.0);
        assert_eq!(round_to(0.123_4, 0.01), 0.12);
    }
}
