//! Headroom: layer time ÷ minimum layer time.

use egui::{Align2, Pos2, Rect, Shape, Ui, Vec2};

use super::{
    Span,
    band::{Band, line},
    fits::that_fits,
};
use crate::{
    drawing::{Dash, HEADROOM_MOST, PLENTY, Scale, plenty},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
};

/// Shows it in a band from 0 to [`HEADROOM_MOST`], dots from the curve up to 1 where a layer is short of cooling; what it is
/// stands above the band, where no line goes.
pub(super) fn show(ui: &Ui, rect: Rect, layers: &[LayerEstimate], span: Span, theme: &Theme) {
    let band = Band { rect, span, values: Scale::straight(HEADROOM_MOST) };
    // What is beyond the band is left out: drawn along its edge it would read as that value.
    let curve = band.steps(layers, |l| l.headroom.filter(|h| *h <= HEADROOM_MOST));
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect.expand(1.0), painter.pixels_per_point());
    band.dots(&mut pen, layers, |l| Some((l.headroom?, 1.0)), theme);
    let enough = band.at(span.from_mm, 1.0).y;
    let ends = [Pos2::new(rect.left(), enough), Pos2::new(rect.right(), enough)];
    pen.line(&ends, false, 1.2, theme.watch, Dash::Dashed);
    line(&mut pen, &curve, 1.4, theme.accent, Dash::Solid);
    painter.add(Shape::mesh(pen.finish()));
    band.scale(ui, "×", theme);
    let much = format!("headroom {PLENTY}");
    let words: &[&str] = if plenty(layers.iter().map(|l| l.headroom)) {
        &[&much, "headroom: plenty"]
    } else {
        &[
            "headroom: layer time ÷ minimum layer time; below 1 there is too little time to cool",
            "headroom; below 1 there is too little time to cool",
            "headroom; below 1: too quick to cool",
            "headroom",
        ]
    };
    let words = that_fits(ui.painter(), rect.width(), words);
    let at = rect.left_top() + Vec2::new(6.0, -8.0);
    ui.painter().text(at, Align2::LEFT_CENTER, words, theme::regular(size::TINY), theme.faint);
}
