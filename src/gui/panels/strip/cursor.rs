//! The height cursor.

use egui::{Key, Response, Shape, Stroke, Ui, Vec2};

use super::layer_at;
use crate::{
    drawing::Dash,
    estimate::LayerEstimate,
    gui::{
        menu::Wish,
        sheet::Pen,
        theme::{Theme, size},
    },
    session::Action,
};

/// Draws it across all bands, and a frame while the keyboard is on it.
pub(super) fn paint(ui: &Ui, at_mm: Option<f64>, bands: &Response, top_mm: f64, theme: &Theme) {
    let room = bands.rect;
    let painter = ui.painter_at(room.expand(8.0));
    if let Some(z) = at_mm {
        let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
        let x = room.left() + (z / top_mm) as f32 * room.width();
        let (low, high) = (egui::Pos2::new(x, room.bottom()), egui::Pos2::new(x, room.top()));
        pen.line(&[low, high], false, size::SELECTION, theme.accent, Dash::Solid);
        let tip = high + Vec2::new(0.0, 9.0);
        let flag = [high + Vec2::new(-6.0, 0.0), high + Vec2::new(6.0, 0.0), tip];
        pen.triangles(flag.into_iter(), &[0, 1, 2], theme.accent);
        painter.add(Shape::mesh(pen.finish()));
    }
    if bands.has_focus() {
        painter.rect_stroke(room.expand(3.0), 2.0, Stroke::new(1.4, theme.accent), egui::StrokeKind::Inside);
    }
}

/// Pressing, dragging and arrow keys move it; a right click puts it away.
pub(super) fn follow(
    ui: &Ui,
    now_mm: Option<f64>,
    bands: &Response,
    top_mm: f64,
    layers: &[LayerEstimate],
    wishes: &mut Vec<Wish>,
) {
    if bands.clicked() || bands.drag_started() {
        bands.request_focus();
    }
    if (bands.dragged() || bands.clicked())
        && let Some(p) = bands.interact_pointer_pos()
    {
        let share = f64::from((p.x - bands.rect.left()) / bands.rect.width());
        let z = (share * top_mm).clamp(0.0, top_mm);
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
        wishes.push(Action::ShowHeight(Some(layers[next].top_mm)).into());
    }
}
