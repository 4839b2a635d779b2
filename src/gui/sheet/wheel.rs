//! The wheel and two fingers.

use egui::{Response, Ui};

use super::Camera;

/// The wheel zooms; two fingers pan, and zoom when they part.
pub(super) fn wheel(ui: &Ui, canvas: &Response, camera: &mut Camera) {
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
