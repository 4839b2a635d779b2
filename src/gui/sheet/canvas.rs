//! The canvas itself.

use std::sync::Arc;

use egui::{Align2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, accesskit::Role};

use super::{Gesture, Onto, arrows, docket_target, empty, keep_out, nodes, overlay, pointer, standing, tape, title};
use crate::{
    document::{CopyId, Job, PartId, Plate},
    drawing::{
        DrawnBed, DrawnConflict, DrawnCopy, Mark, TitleBlock, all_conflict_marks, bed_marks, conflict_labels,
        copy_marks, ruler_marks, skirt_marks,
    },
    geom::{Bounds, Point},
    gui::{
        lies_over::Over,
        look::Look,
        read,
        theme::{self, Theme, size},
        view::View,
        wish::Wish,
        words,
    },
    plate::Conflict,
    session::{Action, Session},
};

/// Shows the sheet in all the room there is.
pub(crate) fn show(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let theme = Theme::of(ui.visuals());
    let outside = ui.available_rect_before_wrap();
    ui.allocate_rect(outside, Sense::hover());
    ui.painter().rect_filled(outside, 0.0, theme.desk);
    let sheet = outside.shrink(size::SHEET_GAP);
    if !sheet.is_positive() {
        return;
    }
    let canvas = ui.interact(sheet, ui.scope_id().with("sheet"), Sense::click_and_drag());
    canvas.widget_info(|| WidgetInfo::labeled(Role::GraphicsDocument, true, "sheet"));
    if canvas.has_focus() {
        let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, tab: false };
        ui.memory_mut(|m| m.set_focus_lock_filter(canvas.id, filter));
    }
    let inside = paper(ui, sheet, theme);
    let mut drawn = std::mem::take(&mut view.drawn);
    if let Some(plate) = session.shown_plate() {
        on_plate(ui, &canvas, inside, session, plate, &mut drawn, view, wishes, theme);
    } else {
        bare_bed(ui, inside, session, view, theme);
        empty::show(ui, &canvas, inside, session, wishes);
    }
    view.drawn = drawn;
    if canvas.has_focus() {
        ui.painter().rect_stroke(sheet, 0.0, Stroke::new(1.6, theme.accent), StrokeKind::Outside);
    }
}

/// Conflicts hatched at most. In a heap with more of them hatches lie upon hatches and tell nothing; the findings name
/// every one.
const HATCHED: usize = 200;

/// The conflicts in sight, of very many the gravest, and how many are left out.
fn hatched(all: &[Conflict], seen: Bounds) -> (Vec<&Conflict>, usize) {
    let mut some: Vec<&Conflict> =
        all.iter().filter(|c| c.region.is_empty() || c.region.bounds().overlaps(seen)).collect();
    some.sort_by(|a, b| b.amount_mm.total_cmp(&a.amount_mm));
    let left_out = some.len().saturating_sub(HATCHED);
    some.truncate(HATCHED);
    (some, left_out)
}

/// Room for the bed between the rulers on the left and below, and above the title block.
fn room_for_bed(inside: Rect) -> Rect {
    let mut room = inside;
    room.min += Vec2::new(54.0, 30.0);
    room.max -= Vec2::new(38.0, 38.0 + title::HEIGHT);
    room
}

/// The bed of the job's first machine, while there is no plate.
fn bare_bed(ui: &Ui, inside: Rect, session: &Session, view: &mut View, theme: &Theme) {
    let job = session.shown_job();
    let Some(machine) = job.machines.first() else { return };
    let bed = DrawnBed::of_machine(machine, job.edge_mm(machine), job.margins.tolerance_mm.max(0.01));
    let bed_box = bed.outline.bounds();
    view.camera.set_canvas(room_for_bed(inside), bed_box);
    let camera = view.camera;
    let painter = ui.painter_at(inside);
    let mm_per_pt = 1.0 / camera.points_per_mm();
    let seen = Bounds::of([camera.to_mm(inside.left_top()), camera.to_mm(inside.right_bottom())]);
    view.painter.begin_frame(&camera, theme, painter.pixels_per_point());
    let mut marks = bed_marks(&bed, seen, mm_per_pt);
    marks.extend(ruler_marks(bed_box, seen, mm_per_pt));
    view.painter.paint(&painter, &marks, &camera, theme);
    let (width, depth) = machine.bed.size_mm();
    let words = format!("{}, bed {width:.0} × {depth:.0} mm", machine.name);
    nodes::bed(ui, camera.rect(bed_box).intersect(inside), &words);
    painter.text(
        inside.left_top() + Vec2::new(10.0, 13.0),
        Align2::LEFT_CENTER,
        words,
        theme::regular(size::TINY),
        theme.faint,
    );
}

/// The sheet of paper with its double frame; returns what is inside.
fn paper(ui: &Ui, sheet: Rect, theme: &Theme) -> Rect {
    let inside = sheet.shrink(size::FRAME_GAP);
    ui.painter().rect(sheet, 0.0, theme.sheet, Stroke::new(1.2, theme.ink), StrokeKind::Inside);
    ui.painter().rect_stroke(inside, 0.0, Stroke::new(0.6, theme.ink), StrokeKind::Inside);
    inside.shrink(1.0)
}

#[expect(clippy::too_many_arguments, reason = "one call, everything the canvas needs")]
fn on_plate(
    ui: &mut Ui,
    canvas: &egui::Response,
    inside: Rect,
    session: &Session,
    plate: &Plate,
    drawn: &mut super::Drawn,
    view: &mut View,
    wishes: &mut Vec<Wish>,
    theme: &Theme,
) {
    let job = session.shown_job();
    drawn.update(session, job, plate, view.gap_rings);
    let Some(bed) = drawn.bed(job, plate).cloned() else { return };
    let bed_box = bed.outline.bounds();
    view.camera.set_canvas(room_for_bed(inside), bed_box);
    if std::mem::take(&mut view.reveal) {
        view.camera.reveal(drawn.bounds_of(session.selection().iter().copied()));
    }
    pointer::pointer(ui, canvas, session, drawn, view, wishes);
    let dragged_to = ui.input(|i| i.pointer.latest_pos()).map(|p| to_tenths(view.camera.to_mm(p)));
    if let (Some(part), Some(at)) = (canvas.dnd_release_payload::<PartId>(), dragged_to) {
        wishes.push(Action::PlaceAt(*part, at).into());
    }
    if pointer::tallying(session, view).is_none() {
        arrows::arrows(ui, canvas, session, view, wishes);
    }

    let camera = view.camera;
    let painter = ui.painter_at(inside);
    let mm_per_pt = 1.0 / camera.points_per_mm();
    let seen = Bounds::of([camera.to_mm(inside.left_top()), camera.to_mm(inside.right_bottom())]);
    view.painter.begin_frame(&camera, theme, painter.pixels_per_point());
    view.painter.paint(&painter, &bed_marks(&bed, seen, mm_per_pt), &camera, theme);
    view.painter.paint(&painter, &skirt_marks(drawn.skirt(job, plate)), &camera, theme);
    let twins = drawn.twins().filter(|s| s.bounds.overlaps(seen));
    view.painter.paint_kept(
        &painter,
        twins.map(|s| (s.stamp, s.at, s.drawn)),
        |copy| copy_marks(copy, mm_per_pt),
        &camera,
        theme,
    );
    let gap_mm = job.margins.gap_mm;
    let copies = drawn.shown().filter(|s| s.bounds.grown(gap_mm).overlaps(seen));
    view.painter.paint_kept(
        &painter,
        copies.map(|s| (s.stamp, s.at, s.drawn)),
        |copy| copy_marks(copy, mm_per_pt),
        &camera,
        theme,
    );
    let pointer = ui.input(|i| i.pointer.hover_pos()).filter(|p| canvas.contains_pointer() && inside.contains(*p));
    let (gravest, untold) = hatched(read::conflicts(session), seen);
    let conflicts: Vec<DrawnConflict> = gravest.into_iter().map(DrawnConflict::of_conflict).collect();
    let mut marks: Vec<Mark> = all_conflict_marks(&conflicts, bed_box, mm_per_pt);
    if let (Some(part), Some(at)) = (canvas.dnd_hover_payload::<PartId>(), dragged_to) {
        marks.extend(coming(session, job, *part, at, mm_per_pt));
    }
    let title_at = title::place(inside.right_bottom(), inside.width() - 8.0);
    let on_bed = |r: Rect| Bounds::of([camera.to_mm(r.left_top()), camera.to_mm(r.right_bottom())]);
    // While somebody pans, labels that dodge the block would dance.
    let block_at = camera.is_fitted().then(|| on_bed(title_at));
    let (written, mut labels) = drawn.labels(seen, bed_box, block_at, mm_per_pt);
    marks.extend(standing::at_the_cursor(session, job, plate, written, mm_per_pt));
    marks.extend(standing::fall(session, job, plate, view.fall_of));
    marks.extend(keep_out::marks(view, &bed, pointer.map(|p| camera.to_mm(p))));
    let form = match &view.over {
        Some(Over::Rows(form)) => Some(form),
        _ => None,
    };
    drawn.rows.update(session, form);
    marks.extend(drawn.rows.marks(mm_per_pt));
    view.painter.paint(&painter, &marks, &camera, theme);
    view.painter.paint(&painter, drawn.written(), &camera, theme);
    let block = title_words(session, job, plate, mm_per_pt);
    labels.keep_within(on_bed(inside.shrink(2.0)));
    labels.take(on_bed(title_at));
    let mut marks = conflict_labels(&conflicts, untold, bed_box, &mut labels);
    marks.extend(ruler_marks(bed_box, seen, mm_per_pt));
    view.painter.paint(&painter, &marks, &camera, theme);

    if view.failing_spots {
        overlay::failing(&painter, &camera, bed_box, &session.learned().places.spots, theme);
    }
    if let Some(form) = pointer::tallying(session, view) {
        overlay::bad(&painter, &camera, drawn, &|id| form.cause_of(&job.copy_name(job.copy(id)?.1)), theme);
    }
    overlay::lit(&painter, &camera, drawn, &view.lit, theme);
    let frame = overlay::frame(&camera, drawn.bounds_of(session.selection().iter().copied()));
    if let Some(frame) = frame {
        overlay::selection(&painter, frame, matches!(view.gesture, Gesture::Turn { .. }), theme);
    }
    if let Gesture::Marquee { from, to } | Gesture::Area { from, to } = view.gesture {
        overlay::marquee(&painter, camera.rect(Bounds::of([from, to])), theme);
    }
    if let Some(tape) = &view.tape {
        let reach = 8.0 * mm_per_pt;
        let at = pointer.map(|p| camera.to_mm(p)).map(|p| drawn.corner_near(p, reach).unwrap_or(p));
        tape.paint(&painter, &camera, at, theme);
    }
    title::paint(&painter, title_at, &block, theme);
    let frame = match view.gesture {
        Gesture::Area { from, to } | Gesture::KeepOutBox { from, to } => Some(camera.rect(Bounds::of([from, to]))),
        Gesture::KeepOut { from, by, .. } => Some(camera.rect(Bounds::of([from + by]))),
        _ => frame,
    };
    let hand = ui.input(|i| i.pointer.latest_pos());
    if let Some((target, at)) = hand.and_then(|at| Some((docket_target(view, session, at)?, at))) {
        let words = match target {
            Onto::Plate(id) => format!("onto plate {}", job.plate_number(id).unwrap_or(0)),
            Onto::New => "onto a new plate".to_owned(),
        };
        tape::note(&over_all(ui), at + Vec2::new(14.0, -14.0), &words, theme);
    } else if let (Some(words), Some(frame)) = (view.gesture.words(ui), frame) {
        tape::note(&painter, frame.right_top() + Vec2::new(8.0, -8.0), &words, theme);
    }
    if plate.copies.is_empty() {
        let words = "An empty plate: drag a line of the order here, or Top up";
        let font = theme::regular(size::BODY);
        painter.text(camera.rect(bed_box).center(), Align2::CENTER_CENTER, words, font, theme.faint);
    }
    let over = pointer.map(|p| camera.to_mm(p)).and_then(|p| drawn.hit(p, 4.0 * mm_per_pt));
    let over = over.and_then(|id| told_of(job, plate, id));
    readout(&painter, inside, pointer.map(|p| camera.to_mm(p)), over, drawn.rows.words(), view, session, theme);
    if canvas.secondary_clicked() {
        view.asked_at = pointer.map(|p| camera.to_mm(p));
    }
    if let Some(id) = nodes::announce(ui, job, plate, &bed, drawn, &camera) {
        match pointer::tallying(session, view) {
            Some(form) => form.toggle(session, id),
            None => wishes.push(Action::Select { copies: vec![id], additive: false }.into()),
        }
    }
    context_menu(canvas, session, view.asked_at, wishes);
}

/// A painter over panels and sheet alike.
fn over_all(ui: &Ui) -> egui::Painter {
    let layer = egui::LayerId::new(egui::Order::Tooltip, ui.scope_id().with("hand"));
    egui::Painter::new(ui.ctx().clone(), layer, ui.ctx().content_rect())
}

/// "A 10 frame spacer".
fn told_of(job: &Job, plate: &Plate, id: CopyId) -> Option<String> {
    let copy = plate.copies.iter().find(|c| c.id == id)?;
    Some(format!("{} {}", job.copy_name(copy), job.part(copy.part)?.name))
}

/// What is let go by hand lies on a tenth of a millimetre.
fn to_tenths(p: Point) -> Point {
    Point::new((p.x * 10.0).round() / 10.0, (p.y * 10.0).round() / 10.0)
}

/// A line of the order dragged over the sheet, as it would lie.
fn coming(session: &Session, job: &Job, part: PartId, at: Point, mm_per_pt: f64) -> Vec<Mark> {
    let (Some(part), Some(shape)) = (job.part(part), session.shapes().get(&part)) else { return Vec::new() };
    let ghost = DrawnCopy {
        letter: part.letter.clone(),
        name: part.letter.clone(),
        hue: part.hue(),
        shadow: Arc::new(shape.shadow.region().map(|p| p + at)),
        ghost: true,
        ..DrawnCopy::default()
    };
    copy_marks(&ghost, mm_per_pt)
}

/// "1 : 1.5", "2 : 1": how large the bed is on a screen of 96 points an inch.
fn scale_words(mm_per_pt: f64) -> String {
    let scale = mm_per_pt / crate::drawing::PT_MM;
    let number = |v: f64| if v >= 9.95 { format!("{v:.0}") } else { format!("{v:.1}") };
    if scale >= 1.0 { format!("1 : {}", number(scale)) } else { format!("{} : 1", number(1.0 / scale)) }
}

/// Where the pointer is and on what, and what the tool in hand says, in the upper left corner.
#[expect(clippy::too_many_arguments, reason = "one line made of all that there is to say")]
fn readout(
    painter: &egui::Painter,
    inside: Rect,
    pointer: Option<Point>,
    over: Option<String>,
    rows: Option<String>,
    view: &View,
    session: &Session,
    theme: &Theme,
) {
    let mut words = Vec::new();
    if let Some(p) = pointer {
        words.push(format!("{:.1}, {:.1} mm", p.x, p.y));
    }
    words.extend(over);
    if let Some(rows) = rows {
        words.push(rows);
    } else if view.measuring() {
        words.push(
            view.tape
                .and_then(|t| t.words(None))
                .unwrap_or_else(|| "measure: click two points; Escape ends measuring".into()),
        );
    } else if view.area {
        words.push("draw the area to top up; Escape cancels".into());
    } else if let Some(corners) = &view.keep_out {
        words.push(if corners.is_empty() {
            "draw the keep-out: drag a rectangle or click its corners; Escape cancels".into()
        } else {
            "next corner; click the first one or press Enter to close the keep-out".into()
        });
    } else if session.selection().len() > 1 {
        words.push(format!("{} copies selected", session.selection().len()));
    }
    let at = inside.left_top() + Vec2::new(10.0, 13.0);
    painter.text(at, Align2::LEFT_CENTER, words.join("   "), theme::regular(size::TINY), theme.faint);
}

/// What a right click on the sheet offers.
fn context_menu(canvas: &egui::Response, session: &Session, at: Option<Point>, wishes: &mut Vec<Wish>) {
    let Some(plate) = session.plate() else { return };
    let keep_out = at.and_then(|p| keep_out::keep_out_at(session, plate, p));
    canvas.context_menu(|ui| {
        if let Some(index) = keep_out {
            let action = Action::RemoveKeepOut(plate.machine, index);
            if ui.add_enabled(action.enabled(session), egui::Button::new(action.name())).clicked() {
                wishes.push(action.into());
                ui.close();
            }
        }
        let draw = Look::KeepOut;
        if ui.add_enabled(draw.enabled(session), egui::Button::new(draw.name())).clicked() {
            wishes.push(draw.into());
            ui.close();
        }
        ui.separator();
        for action in [
            Action::Duplicate,
            Action::Turn(90.0),
            Action::Turn(-90.0),
            Action::Lock(true),
            Action::Lock(false),
            Action::ToPlate(None),
            Action::MoveAllApart,
            Action::Delete,
        ] {
            let button = egui::Button::new(action.name());
            if ui.add_enabled(action.enabled(session), button).clicked() {
                wishes.push(action.into());
                ui.close();
            }
        }
    });
}

/// The title block's words.
fn title_words(session: &Session, job: &Job, plate: &Plate, mm_per_pt: f64) -> TitleBlock {
    let material = job.material(plate.material).map_or("", |m| m.name.as_str());
    let colour = plate.colour.as_str();
    let estimate = read::estimate(session).filter(|_| session.arranging().is_none());
    TitleBlock {
        title: if job.title.is_empty() { session.file_name() } else { job.title.clone() },
        plate: format!("{} of {}", job.plate_number(plate.id).unwrap_or(0), job.plates.len()),
        machine: job.machine(plate.machine).map_or_else(String::new, |m| m.name.clone()),
        material: if colour.is_empty() { material.to_owned() } else { format!("{material}, {colour}") },
        recipe: job.recipe(plate.recipe).map_or_else(String::new, |r| r.name.clone()),
        date: session.today(),
        scale: scale_words(mm_per_pt),
        time: estimate.map_or_else(|| "…".into(), |e| words::long_time(e.time_s)),
        mass: estimate.map_or_else(|| "…".into(), |e| words::mass(e.filament.mass_g)),
        copies: crate::drawing::words::copies_on(job, plate),
        // The particulars beside the sheet list them.
        items: Vec::new(),
    }
}
