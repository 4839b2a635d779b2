//! Headroom: layer time ÷ minimum layer time.

use egui::{Align2, Rect, Shape, Ui, Vec2};
use egui_plot::Line;

use super::band::{Band, points, steps};
use crate::{
    drawing::{Dash, HEADROOM_MOST},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
};

/// Shows it in a band from 0 to [`HEADROOM_MOST`], dots from the curve up to 1 where a layer is short of cooling.
pub(super) fn show(ui: &mut Ui, rect: Rect, layers: &[LayerEstimate], top_mm: f64, theme: &Theme) {
    let band = Band { rect, top_mm, most: HEADROOM_MOST };
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
    pen.line(&[band.at(0.0, 1.0), band.at(top_mm, 1.0)], false, 1.2, theme.watch, Dash::Dashed);
    band.dots(&mut pen, layers, |l| Some((l.headroom?, 1.0)), theme);
    painter.add(Shape::mesh(pen.finish()));
    // On the side of the line where the curve is not.
    let right: Vec<f64> = layers.iter().filter(|l| l.top_mm > top_mm * 0.7).filter_map(|l| l.headroom).collect();
    let above = right.iter().filter(|h| (1.0..HEADROOM_MOST).contains(*h)).count() * 2 < right.len();
    let at = band.at(top_mm, 1.0) + Vec2::new(-2.0, if above { -9.0 } else { 9.0 });
    let words = "headroom: below 1 a layer has too little time to cool";
    painter.text(at, Align2::RIGHT_CENTER, words, theme::regular(size::TINY), theme.faint);
}
