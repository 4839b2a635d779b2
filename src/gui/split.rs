//! Edges between panels, to be dragged or moved by the arrow keys.

use egui::{CursorIcon, EventFilter, Key, Pos2, Rangef, Rect, Sense, Stroke, Ui, WidgetInfo, accesskit::Role};

use super::theme::Theme;

/// Width of what is taken hold of, points.
const GRIP: f32 = 7.0;
/// What an arrow key moves, points.
const STEP: f32 = 10.0;

/// Which way an edge moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    /// The right edge of a column on the left.
    Right,
    /// The left edge of a column on the right.
    Left,
    /// The upper edge of a panel below.
    Top,
}

/// An edge of `panel`: the panel's new size, where it was moved; the plain one after a double click.
pub(super) fn edge(ui: &Ui, name: &str, panel: Rect, edge: Edge, (now, plain): (f32, f32)) -> Option<f32> {
    let theme = Theme::of(ui.visuals());
    let upright = edge != Edge::Top;
    let at = match edge {
        Edge::Right => panel.right(),
        Edge::Left => panel.left(),
        Edge::Top => panel.top(),
    };
    let grip = Rangef::new(at - GRIP / 2.0, at + GRIP / 2.0);
    let rect = if upright {
        Rect::from_x_y_ranges(grip, panel.y_range())
    } else {
        Rect::from_x_y_ranges(panel.x_range(), grip)
    };
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Splitter, true, name));
    let cursor = if upright { CursorIcon::ResizeHorizontal } else { CursorIcon::ResizeVertical };
    let response = response.on_hover_and_drag_cursor(cursor);
    if response.hovered() || response.dragged() || response.has_focus() {
        let line = Stroke::new(2.0, theme.accent);
        if upright {
            ui.painter().vline(at, panel.y_range(), line);
        } else {
            ui.painter().hline(panel.x_range(), at, line);
        }
    }
    if response.double_clicked() {
        return Some(plain);
    }
    let grown = |p: Pos2| match edge {
        Edge::Right => p.x - panel.left(),
        Edge::Left => panel.right() - p.x,
        Edge::Top => panel.bottom() - p.y,
    };
    if response.dragged() {
        return response.interact_pointer_pos().map(grown);
    }
    if !response.has_focus() {
        return None;
    }
    let arrows = EventFilter { horizontal_arrows: upright, vertical_arrows: !upright, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, arrows));
    let (more, less) = match edge {
        Edge::Right => (Key::ArrowRight, Key::ArrowLeft),
        Edge::Left => (Key::ArrowLeft, Key::ArrowRight),
        Edge::Top => (Key::ArrowUp, Key::ArrowDown),
    };
    let pressed = |key| ui.input(|i| i.num_presses(key)) as f32;
    let by = STEP * (pressed(more) - pressed(less));
    (by != 0.0).then_some(now + by)
}
