//! Headroom: layer time ÷ minimum layer time.

use egui::{Align2, Rect, Shape, Ui, Vec2};
use egui_plot::Line;

use super::{
    Span,
    band::{Band, points, steps},
};
use crate::{
    drawing::{Dash, HEADROOM_MOST, PLENTY, plenty},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
};

/// Shows it in a band from 0 to [`HEADROOM_MOST`], dots from the curve up to 1 where a layer is short of cooling.
pub(super) fn show(ui: &mut Ui, rect: Rect, layers: &[LayerEstimate], span: Span, theme: &Theme) {
    let band = Band { rect, span, most: HEADROOM_MOST };
    let curves = steps(layers, |l| l.headroom.map(|h| h.min(HEADROOM_MOST * 1.1)));
    let accent = theme.accent;
    band.plot(ui, "headroom", move |plot| {
        for piece in curves {
            plot.line(Line::new("headroom", points(piece)).color(accent).width(1.4).allow_hover(false));
        }
    });
    band.scale(ui, [0.0, 1.0, 2.0].into_iter(), "×", theme);
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect, painter.pixels_per_point());
    pen.line(&[band.at(span.from_mm, 1.0), band.at(span.to_mm, 1.0)], false, 1.2, theme.watch, Dash::Dashed);
    band.dots(&mut pen, layers, |l| Some((l.headroom?, 1.0)), theme);
    painter.add(Shape::mesh(pen.finish()));
    if plenty(layers.iter().map(|l| l.headroom)) {
        painter.text(rect.center(), Align2::CENTER_CENTER, PLENTY, theme::regular(size::SMALL), theme.faint);
    }
    let words = "headroom: layer time ÷ minimum layer time; below 1 there is too little time to cool";
    let at = rect.left_top() + Vec2::new(6.0, -8.0);
    ui.painter().text(at, Align2::LEFT_CENTER, words, theme::regular(size::TINY), theme.faint);
}
