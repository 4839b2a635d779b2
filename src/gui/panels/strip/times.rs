//! Layer time and minimum layer time.

use egui::{Rect, Shape, Ui};

use super::{
    Span,
    band::{Band, line},
};
use crate::{
    drawing::{Dash, Scale},
    estimate::LayerEstimate,
    gui::{sheet::Pen, theme::Theme},
};

/// Shows both in a band, dots between them where a layer is short of cooling.
pub(super) fn show(ui: &Ui, rect: Rect, layers: &[LayerEstimate], span: Span, theme: &Theme) {
    let band = Band { rect, span, values: scale(layers, span) };
    let natural = band.steps(layers, |l| Some(l.natural_s));
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect.expand(1.0), painter.pixels_per_point());
    band.fill(&mut pen, &natural, theme.hue(1).gamma_multiply(0.22));
    band.dots(&mut pen, layers, |l| Some((l.natural_s, l.minimum_s?)), theme);
    line(&mut pen, &natural, 1.2, theme.ink, Dash::Solid);
    line(&mut pen, &band.steps(layers, |l| l.minimum_s), 1.2, theme.watch, Dash::Dashed);
    painter.add(Shape::mesh(pen.finish()));
    band.scale(ui, "s", theme);
}

/// The scale of the layers shown, each of them in full.
fn scale(layers: &[LayerEstimate], span: Span) -> Scale {
    let mut foot_mm = 0.0;
    let mut minimum_s: f64 = 0.0;
    let mut shown = Vec::new();
    for l in layers {
        let (low, high) = (f64::max(foot_mm, span.from_mm), l.top_mm.min(span.to_mm));
        if high > low {
            shown.push((high - low, l.natural_s));
            minimum_s = minimum_s.max(l.minimum_s.unwrap_or(0.0));
        }
        foot_mm = l.top_mm;
    }
    Scale::of_times(shown, minimum_s)
}

#[cfg(test)]
mod tests {
    use super::{super::layer_at::layer, *};

    #[test]
    fn the_scale_holds_every_layer_shown_and_follows_the_zoom() {
        let mut layers: Vec<_> = (1..=100).map(|i| layer(f64::from(i) * 0.2, 30.0)).collect();
        layers[0].natural_s = 900.0;
        let whole = scale(&layers, Span::whole(20.0));
        assert!(whole.most > 900.0, "the first layer is not cut");
        assert!(whole.share(30.0) > 0.7, "and does not press the others flat");
        let above = Span { from_mm: 0.2, to_mm: 20.0 };
        assert!((scale(&layers, above).most - 31.8).abs() < 1e-9, "without it the others fill the band");
        layers[50].minimum_s = Some(60.0);
        assert!(scale(&layers, above).most > 60.0, "the minimum is in sight");
        assert!(scale(&[], Span::whole(20.0)).most > 0.0);
    }
}
