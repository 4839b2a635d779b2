//! One quantity over height: its curves by the plotting library, its scale as the sheet's rulers are drawn.

use egui::{Align2, Pos2, Rect, Sense, Stroke, Ui, UiBuilder, Vec2};
use egui_plot::{Plot, PlotBounds, PlotPoints, PlotUi};

use super::Span;
use crate::{
    drawing::{Hatch, ruler_steps_mm},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
    },
};

/// Where a band lies on the screen and what it spans.
#[derive(Debug, Clone, Copy)]
pub(super) struct Band {
    /// On the screen.
    pub(super) rect: Rect,
    /// The heights from its left edge to its right one.
    pub(super) span: Span,
    /// Value at its upper edge; its lower edge is nought.
    pub(super) most: f64,
}

impl Band {
    /// A value at a height, on the screen.
    pub(super) fn at(&self, z_mm: f64, value: f64) -> Pos2 {
        Pos2::new(
            x_at(self.rect, self.span.share(z_mm)),
            self.rect.bottom() - (value / self.most) as f32 * self.rect.height(),
        )
    }
    /// Draws curves; what leaves the band is cut off.
    pub(super) fn plot<'a>(&self, ui: &mut Ui, name: &str, curves: impl FnOnce(&mut PlotUi<'a>) + 'a) {
        let (span, most) = (self.span, self.most);
        let mut inner = ui.new_child(UiBuilder::new().max_rect(self.rect));
        Plot::new(name.to_owned())
            // Bands may be lower than what the library thinks a plot needs.
            .min_size(Vec2::ZERO)
            .show_axes([false, false])
            .allow_zoom(false)
            .allow_drag(false)
            .allow_scroll(false)
            .allow_boxed_zoom(false)
            .allow_double_click_reset(false)
            .allow_axis_zoom_drag(false)
            .show_background(false)
            .show_crosshair(false)
            .show_grid([false, false])
            .set_margin_fraction(Vec2::ZERO)
            .cursor_color(egui::Color32::TRANSPARENT)
            .sense(Sense::hover())
            .label_formatter(|_| None)
            .show(&mut inner, move |plot| {
                plot.set_plot_bounds(PlotBounds::from_min_max([span.from_mm, 0.0], [span.to_mm, most]));
                curves(plot);
            });
    }
    /// Lines along the lower and left edges, ticks and numbers on the left, the unit above them.
    pub(super) fn scale(&self, ui: &Ui, values: impl Iterator<Item = f64>, unit: &str, theme: &Theme) {
        let painter = ui.painter();
        let line = Stroke::new(size::HAIR, theme.ink);
        let font = theme::regular(size::TINY);
        painter.hline(self.rect.x_range(), self.rect.bottom(), line);
        painter.vline(self.rect.left(), self.rect.y_range(), line);
        let mut high = self.rect.bottom();
        for v in values {
            let at = self.at(self.span.from_mm, v);
            painter.hline(at.x - 4.0..=at.x, at.y, line);
            painter.text(at - Vec2::new(8.0, 0.0), Align2::RIGHT_CENTER, plain(v), font.clone(), theme.faint);
            high = at.y;
        }
        if high - self.rect.top() > 12.0 {
            painter.text(self.rect.left_top() - Vec2::new(8.0, 0.0), Align2::RIGHT_CENTER, unit, font, theme.faint);
        }
    }
    /// Dots between two values of each layer that has both, where the first is below the second.
    pub(super) fn dots(
        &self,
        pen: &mut Pen,
        layers: &[LayerEstimate],
        between: impl Fn(&LayerEstimate) -> Option<(f64, f64)>,
        theme: &Theme,
    ) {
        let mut from = 0.0;
        let mut run: Option<(Vec<Pos2>, Vec<Pos2>)> = None;
        let mut rings = Vec::new();
        let mut end = |run: &mut Option<(Vec<Pos2>, Vec<Pos2>)>| {
            if let Some((low, mut high)) = run.take() {
                high.reverse();
                rings.push([low, high].concat());
            }
        };
        for l in layers {
            if let Some((low, high)) = between(l).filter(|(low, high)| low < high) {
                let (lower, upper) = run.get_or_insert_with(Default::default);
                lower.extend([self.at(from, low), self.at(l.top_mm, low)]);
                upper.extend([self.at(from, high.min(self.most)), self.at(l.top_mm, high.min(self.most))]);
            } else {
                end(&mut run);
            }
            from = l.top_mm;
        }
        end(&mut run);
        pen.hatch(&rings, Hatch::Dots, self.at(0.0, 0.0), 5.0, theme.watch_mark);
    }
}

/// Where a share of the build's height lies across a band.
pub(super) fn x_at(rect: Rect, share: f64) -> f32 {
    rect.left() + share as f32 * rect.width()
}

/// A curve in steps, a step a layer; layers without the value leave a gap, each piece a curve of its own.
pub(super) fn steps(layers: &[LayerEstimate], value: impl Fn(&LayerEstimate) -> Option<f64>) -> Vec<Vec<[f64; 2]>> {
    let mut pieces = vec![Vec::new()];
    let mut from = 0.0;
    for l in layers {
        match (value(l), pieces.last_mut()) {
            (Some(v), Some(piece)) => piece.extend([[from, v], [l.top_mm, v]]),
            (None, Some(piece)) if !piece.is_empty() => pieces.push(Vec::new()),
            _ => {}
        }
        from = l.top_mm;
    }
    pieces.retain(|p| !p.is_empty());
    pieces
}

/// The points of a curve for the plotting library.
pub(super) fn points<'a>(piece: Vec<[f64; 2]>) -> PlotPoints<'a> {
    PlotPoints::from(piece)
}

/// Round values from nought up, as many as can be told apart on `length` points; closer together rather than nought
/// alone.
pub(super) fn round_values(most: f64, length: f32) -> impl Iterator<Item = f64> {
    let step_at = |spread: f64| ruler_steps_mm(most / f64::from(length.max(1.0)) * spread).1;
    let step = [1.0, 0.5, 0.3].map(step_at).into_iter().find(|s| *s <= most).unwrap_or(most);
    let step = if f64::from(length) / (most / step) > 110.0 { step / 2.0 } else { step };
    (0..=200).map(move |k| f64::from(k) * step).take_while(move |v| *v <= most)
}

/// Round heights within a span, as many as can be told apart on `length` points.
fn round_heights(span: Span, length: f32) -> Vec<f64> {
    let step = round_values(span.length_mm(), length).nth(1).unwrap_or_else(|| span.length_mm());
    let first = (span.from_mm / step - 1e-6).ceil();
    (0..=200).map(|k| (first + f64::from(k)) * step).take_while(|v| *v <= span.to_mm + 1e-6).collect()
}

/// Ticks and numbers of the height under all bands, which span `room`.
pub(super) fn height_scale(ui: &Ui, room: Rect, span: Span, theme: &Theme) {
    let painter = ui.painter();
    let line = Stroke::new(size::HAIR, theme.ink);
    let font = theme::regular(size::TINY);
    for v in round_heights(span, room.width()) {
        let x = x_at(room, span.share(v));
        painter.vline(x, room.bottom()..=room.bottom() + 4.0, line);
        painter.text(Pos2::new(x, room.bottom() + 12.0), Align2::CENTER_CENTER, plain(v), font.clone(), theme.faint);
    }
    let unit = Pos2::new(room.right() + 8.0, room.bottom() + 12.0);
    painter.text(unit, Align2::LEFT_CENTER, "mm", font, theme.faint);
}

/// A number of a scale.
fn plain(v: f64) -> String {
    if v == v.round() { format!("{v:.0}") } else { format!("{v:.1}") }
}

#[cfg(test)]
mod tests {
    use super::{super::layer, *};

    #[test]
    fn layers_without_a_value_leave_a_gap() {
        let mut layers: Vec<_> = (1..=6).map(|i| layer(f64::from(i), 20.0)).collect();
        layers[2].minimum_s = None;
        let pieces = steps(&layers, |l| l.minimum_s);
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[0].last(), Some(&[2.0, 15.0]));
        assert_eq!(pieces[1].first(), Some(&[3.0, 15.0]));
        assert!(steps(&layers, |_| None).is_empty());
    }

    #[test]
    fn nought_is_at_the_foot_and_the_most_at_the_head() {
        let rect = Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(100.0, 50.0));
        let band = Band { rect, span: Span::whole(40.0), most: 2.0 };
        assert_eq!(band.at(0.0, 0.0), rect.left_bottom());
        assert_eq!(band.at(40.0, 2.0), rect.right_top());
        let near = Band { span: Span { from_mm: 10.0, to_mm: 20.0 }, ..band };
        assert_eq!((near.at(10.0, 0.0), near.at(20.0, 2.0)), (rect.left_bottom(), rect.right_top()));
        assert_eq!(round_heights(near.span, 100.0), [10.0, 15.0, 20.0]);
        assert_eq!(round_values(2.0, 100.0).collect::<Vec<_>>(), [0.0, 1.0, 2.0]);
        // On the lowest band there is still a number beside nought.
        for most in [1.1, 2.0, 2.4, 4.9, 30.0, 31.9, 47.0, 99.0] {
            assert!(round_values(most, 44.0).count() > 1, "{most}");
        }
    }
}
