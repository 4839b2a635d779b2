//! Layer time and minimum layer time.

use egui::{Align2, Rect, Shape, Ui, Vec2};
use egui_plot::{FilledArea, Line, LineStyle};

use super::{
    Span,
    band::{Band, points, round_values, steps},
};
use crate::{
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
};

/// Shows both in a band, dots between them where a layer is short of cooling.
pub(super) fn show(ui: &mut Ui, rect: Rect, layers: &[LayerEstimate], span: Span, theme: &Theme) {
    let most = most_s(layers);
    let band = Band { rect, span, most };
    let natural: Vec<[f64; 2]> = steps(layers, |l| Some(l.natural_s.min(most * 1.02))).concat();
    let minimum = steps(layers, |l| l.minimum_s);
    let (xs, ys): (Vec<f64>, Vec<f64>) = natural.iter().map(|p| (p[0], p[1])).unzip();
    let zeros = vec![0.0; xs.len()];
    let (ink, watch, fill) = (theme.ink, theme.watch, theme.hue(1).gamma_multiply(0.22));
    band.plot(ui, "layer times", move |plot| {
        plot.add(FilledArea::new("layer time", &xs, &zeros, &ys).fill_color(fill).allow_hover(false));
        plot.line(Line::new("layer time", points(natural)).color(ink).width(1.2).allow_hover(false));
        for piece in minimum {
            let line = Line::new("minimum layer time", points(piece)).color(watch).width(1.2).allow_hover(false);
            plot.line(line.style(LineStyle::dashed_dense()));
        }
    });
    band.scale(ui, round_values(most, rect.height()), "s", theme);
    let painter = ui.painter_at(rect.expand(8.0));
    let mut pen = Pen::new(rect, painter.pixels_per_point());
    band.dots(&mut pen, layers, |l| Some((l.natural_s, l.minimum_s?)), theme);
    painter.add(Shape::mesh(pen.finish()));
    if let Some(m) = layers.last().and_then(|l| l.minimum_s) {
        // Above both lines where it stands.
        let right = layers.iter().filter(|l| (0.7..=1.0).contains(&span.share(l.top_mm)));
        let high = right.map(|l| l.natural_s).fold(m, f64::max).min(most * 0.8);
        let at = band.at(span.to_mm, high) + Vec2::new(-2.0, -9.0);
        let words = format!("minimum layer time {m:.1} s");
        painter.text(at, Align2::RIGHT_CENTER, words, theme::regular(size::TINY), theme.watch);
    }
}

/// Up to how many seconds are shown: a first layer ten times as long as the others must not flatten them.
fn most_s(layers: &[LayerEstimate]) -> f64 {
    let mut times: Vec<f64> = layers.iter().map(|l| l.natural_s).collect();
    times.sort_by(f64::total_cmp);
    let most = times.last().copied().unwrap_or(1.0);
    let usual = times.get(times.len() * 9 / 10).copied().unwrap_or(most);
    let minimum = layers.iter().filter_map(|l| l.minimum_s).fold(0.0, f64::max);
    (most * 1.06).min((usual * 1.6).max(minimum * 2.0)).max(minimum * 1.3).max(0.1)
}

#[cfg(test)]
mod tests {
    use super::{super::layer, *};

    #[test]
    fn one_long_layer_does_not_flatten_the_rest() {
        let mut layers: Vec<_> = (1..=100).map(|i| layer(f64::from(i) * 0.2, 30.0)).collect();
        layers[0].natural_s = 900.0;
        assert!(most_s(&layers) < 60.0);
        assert!(most_s(&layers[..1]) > 0.0);
        assert!(most_s(&[]) > 0.0);
    }
}
