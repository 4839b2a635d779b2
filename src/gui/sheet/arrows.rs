//! Arrow keys move what is selected.

use egui::{Key, Modifiers, Response, Ui};

use super::Gesture;
use crate::{
    geom::Point,
    gui::{view::View, wish::Wish},
    session::{Action, Landing, Session},
};

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
