//! Layer time and minimum layer time.

use egui::{Rect, Shape, Ui};

use super::{
    Span,
    band::{Band, line, round_values},
};
use crate::{
    drawing::Dash,
    estimate::LayerEstimate,
    gui::{sheet::Pen, theme::Theme},
};

/// Shows both in a band, dots between them where a layer is short of cooling.
pub(super) fn show(ui: &Ui, rect: Rect, layers: &[LayerEstimate], span: Span, theme: &Theme) {
    let band = Band { rect, span, most: most_s(layers, span) };
    let natural = band.steps(layers, |l| Some(l.natural_s));
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect.expand(1.0), painter.pixels_per_point());
    band.fill(&mut pen, &natural, theme.hue(1).gamma_multiply(0.22));
    band.dots(&mut pen, layers, |l| Some((l.natural_s, l.minimum_s?)), theme);
    line(&mut pen, &natural, 1.2, theme.ink, Dash::Solid);
    line(&mut pen, &band.steps(layers, |l| l.minimum_s), 1.2, theme.watch, Dash::Dashed);
    painter.add(Shape::mesh(pen.finish()));
    band.scale(ui, round_values(band.most, rect.height()), "s", theme);
}

/// Up to how many seconds are shown: as many as the longest of the layers shown takes or needs.
fn most_s(layers: &[LayerEstimate], span: Span) -> f64 {
    let mut foot_mm = 0.0;
    let mut most: f64 = 0.0;
    for l in layers {
        if l.top_mm > span.from_mm && foot_mm < span.to_mm {
            most = most.max(l.natural_s).max(l.minimum_s.unwrap_or(0.0));
        }
        foot_mm = l.top_mm;
    }
    if most.is_finite() { (most * 1.06).max(0.1) } else { 0.1 }
}

#[cfg(test)]
mod tests {
    use super::{super::layer, *};

    #[test]
    fn the_scale_holds_every_layer_shown_and_follows_the_zoom() {
        let mut layers: Vec<_> = (1..=100).map(|i| layer(f64::from(i) * 0.2, 30.0)).collect();
        layers[0].natural_s = 900.0;
        let whole = Span::whole(20.0);
        assert!(most_s(&layers, whole) > 900.0, "the first layer is not cut");
        let above = Span { from_mm: 0.2, to_mm: 20.0 };
        assert!((most_s(&layers, above) - 31.8).abs() < 1e-9, "without it the others fill the band");
        layers[50].minimum_s = Some(60.0);
        assert!(most_s(&layers, above) > 60.0, "the minimum is in sight");
        assert!(most_s(&[], whole) > 0.0);
    }
}
