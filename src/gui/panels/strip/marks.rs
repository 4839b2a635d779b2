//! Heights worth a look, as marks that put the height cursor there.

use egui::{Align2, Rect, Response, Sense, Ui, Vec2, accesskit::Role};

use super::{
    Span,
    band::x_at,
    fits::{that_fits, width},
    readout,
};
use crate::{
    drawing::{ALONE, Dash, worst_words},
    estimate::{PlateEstimate, cooling_summary},
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
        wish::Wish,
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
    // Where every layer has its time there is no worst one to look at.
    let short = summary.least_headroom.filter(|h| *h < 1.0);
    let worst = summary.worst_layer.and_then(layer).zip(short).map(|(l, h)| Sight {
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

/// Height of the row over the bands.
pub(super) const HEAD: f32 = LABEL + 4.0;

/// Draws the marks: labels in the row over the bands, side by side, each with a line down through the bands; pressing one puts the
/// cursor there. The minimum layer time is told at the row's right end.
pub(super) fn show(
    ui: &Ui,
    room: Rect,
    bands: &[Rect],
    estimate: &PlateEstimate,
    span: Span,
    theme: &Theme,
    wishes: &mut Vec<Wish>,
) {
    let top = room.top() - HEAD;
    let painter = ui.painter();
    let font = || theme::regular(size::TINY);
    let mut right = room.right();
    if let Some(m) = estimate.layers.iter().filter_map(|l| l.minimum_s).reduce(f64::max) {
        let m = readout::seconds(m);
        let (long, short) = (format!("minimum layer time {m}"), format!("minimum {m}"));
        // The marks come first: they are pressed. In a narrow strip the line's name is short.
        let taken: f32 = sights(estimate).iter().map(|s| wide(painter, &s.words) + 4.0).sum();
        let words = that_fits(painter, room.width() - taken - 62.0, &[&long, &short]);
        let at = egui::Pos2::new(right, top + LABEL / 2.0);
        let written = painter.text(at, Align2::RIGHT_CENTER, words, font(), theme.watch);
        let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
        let end = written.left_center() - Vec2::new(6.0, 0.0);
        pen.line(&[end - Vec2::new(22.0, 0.0), end], false, 1.2, theme.watch, Dash::Dashed);
        painter.add(egui::Shape::mesh(pen.finish()));
        right = end.x - 34.0;
    }
    let mut shown: Vec<Sight> = sights(estimate).into_iter().filter(|s| span.holds(s.z_mm)).collect();
    shown.sort_by(|a, b| a.z_mm.total_cmp(&b.z_mm));
    let places: Vec<(f32, f32)> =
        shown.iter().map(|s| (x_at(room, span.share(s.z_mm)), wide(painter, &s.words))).collect();
    for ((sight, left), (x, wide)) in shown.into_iter().zip(side_by_side(room.left(), right, &places)).zip(&places) {
        let label = Rect::from_min_size(egui::Pos2::new(left, top), Vec2::new(*wide, LABEL));
        let response = pressable(ui, label, &sight);
        if response.clicked() {
            wishes.push(Action::ShowHeight(Some(sight.z_mm)).into());
        }
        let line = egui::Stroke::new(size::HAIR, theme.accent);
        // From the label's own foot over to the height, then down, but not through what is written between the bands.
        painter.hline(x.min(label.left())..=x.max(label.left()), label.bottom(), line);
        painter.vline(*x, label.bottom()..=room.top(), line);
        for band in bands {
            painter.vline(*x, band.y_range(), line);
        }
        let lit = response.hovered() || response.has_focus();
        painter.rect_filled(label, 2.0, if lit { theme.hovered } else { theme.sheet });
        painter.rect_stroke(label, 2.0, line, egui::StrokeKind::Inside);
        painter.text(label.center(), Align2::CENTER_CENTER, sight.words, font(), theme.accent);
    }
}

/// Width of a mark with these words.
fn wide(painter: &egui::Painter, words: &str) -> f32 {
    width(painter, words) + 10.0
}

/// Left edges of labels in a row from `left` to `right`, each as near to its x as the others leave it: (x, width) from left to
/// right. In a row that is too short for all they run out of it to the right.
fn side_by_side(left: f32, right: f32, places: &[(f32, f32)]) -> Vec<f32> {
    const BETWEEN: f32 = 4.0;
    let mut edges: Vec<f32> = Vec::with_capacity(places.len());
    let mut free = left;
    for (x, wide) in places {
        let at = x.max(free);
        edges.push(at);
        free = at + wide + BETWEEN;
    }
    // What runs over the right end pushes back to the left.
    let mut end = right;
    for (edge, (_, wide)) in edges.iter_mut().zip(places).rev() {
        *edge = edge.min(end - wide);
        end = *edge - BETWEEN;
    }
    // Never over the left end, nor on one another.
    let mut free = left;
    for (edge, (_, wide)) in edges.iter_mut().zip(places) {
        *edge = edge.max(free);
        free = *edge + wide + BETWEEN;
    }
    edges
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_in_the_row_never_lie_on_each_other() {
        let wide = [110.0, 80.0];
        for x in [0.0_f32, 10.0, 200.0, 395.0, 400.0] {
            for other in [0.0_f32, 5.0, 60.0, 200.0] {
                let places = [(x, wide[0]), ((x + other).min(400.0), wide[1])];
                let edges = side_by_side(0.0, 400.0, &places);
                assert!(edges[0] >= 0.0 && edges[1] + wide[1] <= 400.0, "{places:?} {edges:?}");
                assert!(edges[0] + wide[0] <= edges[1], "{places:?} {edges:?}");
            }
        }
        assert_eq!(side_by_side(0.0, 400.0, &[(30.0, 50.0), (200.0, 50.0)]), [30.0, 200.0], "where there is room");
        let tight = side_by_side(0.0, 100.0, &[(0.0, 80.0), (0.0, 80.0)]);
        assert!(tight[0] + 80.0 <= tight[1], "{tight:?}");
    }
}
