//! The height cursor.

use egui::{Key, Rect, Response, Shape, Stroke, Ui, Vec2};

use super::{Span, Zoom, band::x_at, layer_at::layer_at};
use crate::{
    drawing::Dash,
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{Theme, size},
        wish::Wish,
    },
    session::Action,
};

/// Draws it across all bands, and a frame while the keyboard is on it.
pub(super) fn paint(ui: &Ui, at_mm: Option<f64>, bands: &Response, rects: &[Rect], span: Span, theme: &Theme) {
    let room = bands.rect;
    let painter = ui.painter_at(room.expand(8.0));
    if let Some(z) = at_mm.filter(|z| span.holds(*z)) {
        let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
        let x = x_at(room, span.share(z));
        // Not through what is written between the bands.
        for r in rects {
            let ends = [egui::Pos2::new(x, r.bottom()), egui::Pos2::new(x, r.top())];
            pen.line(&ends, false, size::SELECTION, theme.accent, Dash::Solid);
        }
        let high = egui::Pos2::new(x, room.top());
        let tip = high + Vec2::new(0.0, 9.0);
        let flag = [high + Vec2::new(-6.0, 0.0), high + Vec2::new(6.0, 0.0), tip];
        pen.triangles(flag.into_iter(), &[0, 1, 2], theme.accent);
        painter.add(Shape::mesh(pen.finish()));
    }
    if bands.has_focus() {
        painter.rect_stroke(room.expand(3.0), 2.0, Stroke::new(1.4, theme.accent), egui::StrokeKind::Inside);
    }
}

/// Pressing, dragging and arrow keys move it; a right click puts it away. While less than the whole build is shown, dragging
/// moves what is shown.
pub(super) fn follow(
    ui: &Ui,
    now_mm: Option<f64>,
    bands: &Response,
    layers: &[LayerEstimate],
    zoom: &mut Zoom,
    wishes: &mut Vec<Wish>,
) {
    if bands.clicked() || bands.drag_started() {
        bands.request_focus();
    }
    let top_mm = layers.last().map_or(1.0, |l| l.top_mm);
    let span = zoom.span(top_mm);
    let near = zoom.is_in(top_mm);
    if near && bands.dragged() {
        let by = f64::from(bands.drag_delta().x / bands.rect.width()) * span.length_mm();
        zoom.show(span.moved(-by, top_mm));
    }
    if (bands.dragged() && !near || bands.clicked())
        && let Some(p) = bands.interact_pointer_pos()
    {
        let share = f64::from((p.x - bands.rect.left()) / bands.rect.width());
        let z = span.height_mm(share).clamp(0.0, top_mm);
        let z = layer_at(layers, z).map_or(z, |l| l.top_mm);
        if now_mm != Some(z) {
            wishes.push(Action::ShowHeight(Some(z)).into());
        }
    }
    if bands.secondary_clicked() {
        wishes.push(Action::ShowHeight(None).into());
    }
    if !bands.has_focus() {
        return;
    }
    let filter = egui::EventFilter { horizontal_arrows: true, ..egui::EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(bands.id, filter));
    let (mut steps, fast) = (0_isize, ui.input(|i| i.modifiers.shift));
    ui.input_mut(|i| {
        for (key, way) in [(Key::ArrowLeft, -1), (Key::ArrowRight, 1)] {
            let modifiers = i.modifiers;
            if i.consume_key(modifiers, key) {
                steps += way * if fast { 10 } else { 1 };
            }
        }
    });
    if steps != 0 && !layers.is_empty() {
        let at = now_mm.map_or(0, |z| layers.partition_point(|l| l.top_mm < z - 1e-9).cast_signed());
        let next = (at + steps).clamp(0, layers.len().cast_signed() - 1) as usize;
        if near {
            zoom.show(span.showing(layers[next].top_mm, top_mm));
        }
        wishes.push(Action::ShowHeight(Some(layers[next].top_mm)).into());
    }
    let nearer = ui.input_mut(|i| {
        let mut pressed = |key| i.consume_key(egui::Modifiers::NONE, key);
        let nearer = pressed(Key::Plus) || pressed(Key::Equals);
        i32::from(nearer) - i32::from(i.consume_key(egui::Modifiers::NONE, Key::Minus))
    });
    if nearer != 0 {
        let about = now_mm.filter(|z| span.holds(*z)).map_or(0.5, |z| span.share(z));
        zoom.show(span.zoomed(1.5_f64.powi(nearer), about, top_mm));
    }
}

/// The wheel with Ctrl, or two fingers, zoom about the pointer; a double click shows the whole build again.
pub(super) fn zoom(ui: &Ui, bands: &Response, top_mm: f64, zoom: &mut Zoom) {
    if bands.double_clicked() {
        zoom.whole();
    }
    let factor = f64::from(ui.input(egui::InputState::zoom_delta));
    if let Some(p) = bands.hover_pos().filter(|_| factor != 1.0) {
        let share = f64::from((p.x - bands.rect.left()) / bands.rect.width()).clamp(0.0, 1.0);
        zoom.show(zoom.span(top_mm).zoomed(factor, share, top_mm));
    }
}
