//! The timeline, with pan and zoom.

use egui::{Rect, ScrollArea, Sense, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::{bars, drag::Drag, place::Board};
use crate::{
    drawing::{PT_MM, TimelineFrame, timeline},
    gui::{
        sheet::Camera,
        theme::{self, Theme, size},
        view::View,
        wish::Wish,
    },
    session::{Action, Session},
};

/// Heights of a row, points.
const ROW_PT: (f32, f32) = (40.0, 64.0);
/// Room for the names of machines, points.
const NAMES_PT: f32 = 84.0;

/// Shows the timeline, at most so high.
pub(super) fn show(ui: &mut Ui, session: &Session, view: &mut View, most: f32, wishes: &mut Vec<Wish>) {
    let Some(t) = session.timeline() else { return };
    let rows = t.floor.machines.len();
    let axis = (TimelineFrame::height_mm_of(0, 0.0) / PT_MM) as f32;
    let row = ((most - axis) / rows.max(1) as f32).clamp(ROW_PT.0, ROW_PT.1);
    let height = axis + row * rows as f32;
    let shown = height.min(most.max(axis + ROW_PT.0));
    ScrollArea::vertical().id_salt("timeline").max_height(shown).min_scrolled_height(shown).auto_shrink(false).show(
        ui,
        |ui| {
            let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
            on(ui, session, view, rect, wishes);
        },
    );
}

fn on(ui: &mut Ui, session: &Session, view: &mut View, rect: Rect, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let Some(now) = session.timeline() else { return };
    // The whole plan as it is: what is dragged does not move the ground under the hand.
    let whole = now.drawn(session.job(), None).whole();
    let (width_mm, height_mm) = (f64::from(rect.width()) * PT_MM, f64::from(rect.height()) * PT_MM);
    let names_mm = f64::from(NAMES_PT.min(rect.width() / 4.0)) * PT_MM;
    let span = view.shifts.sight.span(whole);
    let rows = now.floor.machines.len();
    let board = Board { frame: TimelineFrame { width_mm, height_mm, names_mm, rows, span }, rect };

    let ground = ui.interact(rect, ui.scope_id().with("ground"), Sense::click_and_drag());
    ground.widget_info(|| WidgetInfo::labeled(Role::Group, true, "timeline"));
    sight(ui, &ground, view, &board, whole);

    if let (Some(drag), Some(p)) = (&mut view.shifts.drag, ui.input(|i| i.pointer.latest_pos())) {
        let (row, at_s) = board.pointed(p);
        drag.over(session, now, row, at_s);
    }
    let selected = view.shifts.drag.as_ref().map(|d| d.plate).or(session.plate_id());
    let shown = view.shifts.drag.as_ref().and_then(Drag::preview).unwrap_or(now);
    let drawn = shown.drawn(session.job(), selected);
    let scene = timeline(&drawn, &board.frame);
    let mut camera = Camera::default();
    camera.set_canvas(rect, scene.view);
    view.painter.begin_frame(&camera, theme, ui.ctx().pixels_per_point());
    view.painter.paint(&ui.painter_at(rect), &scene.marks, &camera, theme);
    if ground.has_focus() {
        let ring = egui::Stroke::new(1.4, theme.accent);
        ui.painter().rect_stroke(rect, 2.0, ring, egui::StrokeKind::Inside);
    }
    let begun = bars::show(ui, session, shown, &board, (&mut view.shifts.sight, view.shifts.drag.is_some()), wishes);
    if let Some(begun) = begun {
        view.shifts.drag = Some(begun);
    }
    drop_or_tell(ui, session, view, wishes);
}

/// What the pointer and the keys do to the stretch of time shown.
fn sight(ui: &Ui, ground: &egui::Response, view: &mut View, board: &Board, whole: crate::batch::sequence::Window) {
    let sight = &mut view.shifts.sight;
    let s_per_pt = PT_MM / board.frame.mm_per_s();
    let plot = board.on_screen(board.frame.plot());
    let share = |x: f32| f64::from((x - plot.left()) / plot.width().max(1.0));
    if ground.clicked() {
        ground.request_focus();
    }
    if ground.double_clicked() {
        sight.whole();
    }
    if ground.dragged() {
        sight.pan(whole, (-f64::from(ground.drag_delta().x) * s_per_pt).round() as i64);
    }
    let over = ui.input(|i| i.pointer.hover_pos()).filter(|p| ground.rect.contains(*p) && ui.clip_rect().contains(*p));
    if let Some(p) = over {
        let (zoom, across) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta().x));
        sight.zoom(whole, f64::from(zoom), share(p.x));
        sight.pan(whole, (-f64::from(across) * s_per_pt).round() as i64);
    }
    if ground.has_focus() {
        let filter = egui::EventFilter { horizontal_arrows: true, ..egui::EventFilter::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(ground.id, filter));
        let (steps, nearer) = ui.input_mut(|i| {
            let mut pressed = |key| i32::from(i.consume_key(egui::Modifiers::NONE, key));
            let steps = pressed(egui::Key::ArrowRight) - pressed(egui::Key::ArrowLeft);
            let nearer = pressed(egui::Key::Plus) + pressed(egui::Key::Equals) - pressed(egui::Key::Minus);
            (steps, nearer)
        });
        sight.pan(whole, i64::from(steps) * sight.span(whole).length_s() / 8);
        sight.zoom(whole, 1.5_f64.powi(nearer), 0.5);
    }
}

/// Says where a dragged bar would land, and has it land.
fn drop_or_tell(ui: &Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let (Some(drag), Some(now)) = (&view.shifts.drag, session.timeline()) else { return };
    let (down, at) = ui.input(|i| (i.pointer.primary_down(), i.pointer.latest_pos()));
    let landing = drag.landing(now);
    if !down {
        let refused = drag.refusal(now).is_some();
        if let Some((machine, before)) = landing {
            let action = Action::MoveRun { plate: drag.plate, machine, before };
            // A refusal is told by the session, in the same words.
            let moves = drag.preview().is_some_and(|p| p.order != now.order);
            if refused || moves {
                wishes.push(action.into());
            }
        }
        view.shifts.drag = None;
        return;
    }
    let Some(at) = at else { return };
    let (words, ink) = match (drag.refusal(now), drag.preview()) {
        (Some(why), _) => (why.to_owned(), theme.stop),
        (None, Some(p)) => {
            let run = p.run_of(drag.plate);
            let end = run.and_then(|r| p.timed(r)).map(|x| p.calendar.words(x.print.to_s));
            let late = run.and_then(|r| p.late_s(r)).map(|s| format!(", late {}", crate::words::long_time(s as f64)));
            (format!("ends {}{}", end.unwrap_or_default(), late.unwrap_or_default()), theme.ink)
        }
        (None, None) => return,
    };
    let painter = ui.ctx().layer_painter(egui::LayerId::new(egui::Order::Tooltip, ui.scope_id().with("landing")));
    let galley = painter.layout(words, theme::regular(size::SMALL), ink, 300.0);
    let screen = ui.ctx().content_rect();
    let mut slip = Rect::from_min_size(at + Vec2::new(14.0, 16.0), galley.size() + Vec2::new(14.0, 8.0));
    slip = slip.translate(Vec2::new(
        (screen.right() - 4.0 - slip.right()).min(0.0),
        (screen.bottom() - 4.0 - slip.bottom()).min(0.0),
    ));
    painter.rect_filled(slip, 3.0, theme.sheet);
    painter.rect_stroke(slip, 3.0, theme.hairline(), egui::StrokeKind::Inside);
    painter.galley(slip.min + Vec2::new(7.0, 4.0), galley, ink);
    ui.ctx().request_repaint();
}
