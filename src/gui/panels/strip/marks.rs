//! Heights worth a look, as marks that put the height cursor there.

use egui::{Align2, Rect, Response, Sense, Ui, Vec2, accesskit::Role};

use super::{Span, band::x_at};
use crate::{
    drawing::{ALONE, worst_words},
    estimate::{PlateEstimate, cooling_summary},
    gui::{
        menu::Wish,
        theme::{self, Theme, size},
    },
    session::Action,
};

/// Height of a label.
const LABEL: f32 = 15.0;

/// A height worth a look.
#[derive(Debug, Clone, PartialEq)]
struct Sight {
    z_mm: f64,
    name: &'static str,
    words: String,
}

/// The worst layer, and the first layer with one copy left.
fn sights(estimate: &PlateEstimate) -> Vec<Sight> {
    let summary = cooling_summary(estimate);
    let layer = |i: usize| estimate.layers.get(i);
    let worst = summary.worst_layer.and_then(layer).zip(summary.least_headroom).map(|(l, h)| Sight {
        z_mm: l.top_mm,
        name: "worst layer",
        words: worst_words(h),
    });
    let last = summary.alone_from.and_then(layer).map(|l| Sight {
        z_mm: l.top_mm,
        name: "first layer with one copy left",
        words: ALONE.into(),
    });
    worst.into_iter().chain(last).collect()
}

/// Draws the marks over the bands, labels in rows from the top where they would cover one another; pressing one puts the
/// cursor there.
pub(super) fn show(ui: &Ui, room: Rect, estimate: &PlateEstimate, span: Span, theme: &Theme, wishes: &mut Vec<Wish>) {
    let mut taken: Vec<Rect> = Vec::new();
    for sight in sights(estimate).into_iter().filter(|s| span.holds(s.z_mm)) {
        let x = x_at(room, span.share(sight.z_mm));
        let galley = ui.painter().layout_no_wrap(sight.words.clone(), theme::regular(size::TINY), theme.accent);
        let wide = galley.size().x + 10.0;
        // To the right of its line where there is room.
        let left = if x + wide <= room.right() { x } else { x - wide };
        let mut label = Rect::from_min_size(egui::Pos2::new(left, room.top()), Vec2::new(wide, LABEL));
        while taken.iter().any(|t| t.intersects(label)) {
            label = label.translate(Vec2::new(0.0, LABEL + 1.0));
        }
        taken.push(label);
        let response = pressable(ui, label, &sight);
        if response.clicked() {
            wishes.push(Action::ShowHeight(Some(sight.z_mm)).into());
        }
        let painter = ui.painter();
        painter.vline(x, label.top()..=room.bottom(), egui::Stroke::new(size::HAIR, theme.accent));
        let lit = response.hovered() || response.has_focus();
        painter.rect_filled(label, 2.0, if lit { theme.hovered } else { theme.sheet });
        painter.rect_stroke(label, 2.0, egui::Stroke::new(size::HAIR, theme.accent), egui::StrokeKind::Inside);
        painter.text(label.center(), Align2::CENTER_CENTER, sight.words, theme::regular(size::TINY), theme.accent);
    }
}

fn pressable(ui: &Ui, label: Rect, sight: &Sight) -> Response {
    let response = ui.interact(label, ui.scope_id().with(sight.name), Sense::click());
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_role(Role::Button);
        node.set_label(sight.name);
    });
    response
        .on_hover_cursor(egui::CursorIcon::PointingHand)
        .on_hover_text(format!("{} at {:.1} mm: press to look into it", sight.words, sight.z_mm))
}
