//! One quantity over height: its curve in steps, a step a layer, its scale as the sheet's rulers are drawn.

use egui::{Align2, Color32, Pos2, Rect, Stroke, Ui, Vec2};

use super::Span;
use crate::{
    drawing::{Dash, Hatch, Scale, round_values, tick_words},
    estimate::LayerEstimate,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
        widgets::scale_break,
    },
};

/// Where a band lies on the screen and what it spans.
#[derive(Debug, Clone, Copy)]
pub(super) struct Band {
    /// On the screen.
    pub(super) rect: Rect,
    /// The heights from its left edge to its right one.
    pub(super) span: Span,
    /// What its values span; its lower edge is nought.
    pub(super) values: Scale,
}

impl Band {
    /// A value at a height, on the screen.
    pub(super) fn at(&self, z_mm: f64, value: f64) -> Pos2 {
        Pos2::new(
            x_at(self.rect, self.span.share(z_mm)),
            self.rect.bottom() - self.values.share(value) as f32 * self.rect.height(),
        )
    }
    /// The curve of the layers shown: a level stretch for each, a new piece after layers without the value. Layers narrower
    /// than a point share a stretch that reaches from the least of them to the most.
    pub(super) fn steps(
        &self,
        layers: &[LayerEstimate],
        value: impl Fn(&LayerEstimate) -> Option<f64>,
    ) -> Vec<Vec<Step>> {
        let mut pieces: Vec<Vec<Step>> = vec![Vec::new()];
        let mut foot_mm = 0.0;
        for l in layers {
            let (low, high) = (f64::max(foot_mm, self.span.from_mm), l.top_mm.min(self.span.to_mm));
            foot_mm = l.top_mm;
            if high <= low {
                continue;
            }
            let Some(v) = value(l).filter(|v| v.is_finite()) else {
                if pieces.last().is_some_and(|p| !p.is_empty()) {
                    pieces.push(Vec::new());
                }
                continue;
            };
            let from = x_at(self.rect, self.span.share(low));
            let to = x_at(self.rect, self.span.share(high));
            let y = self.at(low, v.clamp(0.0, self.values.most)).y;
            let Some(piece) = pieces.last_mut() else { continue };
            match piece.last_mut().filter(|last| to - last.from < NARROW) {
                Some(last) => {
                    *last = Step { to, least: last.least.max(y), most: last.most.min(y), ..*last };
                }
                None => piece.push(Step { from, to, least: y, most: y }),
            }
        }
        pieces.retain(|p| !p.is_empty());
        pieces
    }
    /// Fills what lies under a curve.
    pub(super) fn fill(&self, pen: &mut Pen, pieces: &[Vec<Step>], ink: Color32) {
        for s in pieces.iter().flatten() {
            let (low, high) = (Pos2::new(s.from, self.rect.bottom()), Pos2::new(s.to, s.most));
            let corners = [low, Pos2::new(high.x, low.y), high, Pos2::new(low.x, high.y)];
            pen.triangles(corners.into_iter(), &[0, 1, 2, 0, 2, 3], ink);
        }
    }
    /// Lines along the lower and left edges, ticks and numbers on the left, the unit above them.
    pub(super) fn scale(&self, ui: &Ui, unit: &str, theme: &Theme) {
        let painter = ui.painter();
        let line = Stroke::new(size::HAIR, theme.ink);
        let font = theme::regular(size::TINY);
        painter.hline(self.rect.x_range(), self.rect.bottom(), line);
        painter.vline(self.rect.left(), self.rect.y_range(), line);
        let ticks = self.values.ticks(f64::from(self.rect.height()));
        let ys: Vec<f32> = ticks.iter().map(|&v| self.at(self.span.from_mm, v).y).collect();
        for (v, (y, written)) in ticks.iter().zip(told_apart(&ys)) {
            let at = Pos2::new(self.rect.left(), y);
            painter.hline(at.x - 4.0..=at.x, at.y, line);
            if written {
                painter.text(at - Vec2::new(8.0, 0.0), Align2::RIGHT_CENTER, tick_words(*v), font.clone(), theme.faint);
            }
        }
        let high = ys.last().copied().unwrap_or(self.rect.bottom());
        scale_break(painter, &self.values, self.rect, line);
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
        let clip = |v: f64| v.clamp(0.0, self.values.most);
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
                lower.extend([self.at(from, clip(low)), self.at(l.top_mm, clip(low))]);
                upper.extend([self.at(from, clip(high)), self.at(l.top_mm, clip(high))]);
            } else {
                end(&mut run);
            }
            from = l.top_mm;
        }
        end(&mut run);
        pen.hatch(&rings, Hatch::Dots, self.at(0.0, 0.0), 5.0, theme.watch_mark);
    }
}

/// Ticks from the foot of a scale to its head, and which of them have room for their numbers: the first and the last come first.
fn told_apart(ys: &[f32]) -> Vec<(f32, bool)> {
    /// Height of a number, points.
    const HIGH: f32 = 10.0;
    let last = ys.len().saturating_sub(1);
    let clear = |i: usize, j: usize| (ys[i] - ys[j]).abs() >= HIGH;
    let mut before = 0;
    let mut told = Vec::with_capacity(ys.len());
    for (i, &y) in ys.iter().enumerate() {
        let written = i == 0 || i == last && clear(i, 0) || i != last && clear(i, before) && clear(i, last);
        if written {
            before = i;
        }
        told.push((y, written));
    }
    told
}

/// Where a share of the build's height lies across a band.
pub(super) fn x_at(rect: Rect, share: f64) -> f32 {
    rect.left() + share as f32 * rect.width()
}

/// Layers narrower than this, points, share a stretch of the curve.
const NARROW: f32 = 1.0;

/// A stretch of a curve on the screen: one layer, or several that are too narrow to be told apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Step {
    /// Left end.
    pub(super) from: f32,
    /// Right end.
    pub(super) to: f32,
    /// The least value, screen y.
    pub(super) least: f32,
    /// The most, screen y.
    pub(super) most: f32,
}

/// Draws curves: level lines and upright ones, nothing between.
pub(super) fn line(pen: &mut Pen, pieces: &[Vec<Step>], width: f32, ink: Color32, dash: Dash) {
    for piece in pieces {
        let mut points = Vec::with_capacity(piece.len() * 4);
        for s in piece {
            points.push(Pos2::new(s.from, s.least));
            if s.most < s.least {
                points.extend([Pos2::new(s.from, s.most), Pos2::new(s.to, s.most)]);
            }
            points.push(Pos2::new(s.to, s.least));
        }
        pen.line(&points, false, width, ink, dash);
    }
}

/// Round heights within a span, as many as can be told apart on `length` points.
fn round_heights(span: Span, length: f32) -> Vec<f64> {
    let step = round_values(span.length_mm(), f64::from(length)).get(1).copied().unwrap_or_else(|| span.length_mm());
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
        painter.text(
            Pos2::new(x, room.bottom() + 12.0),
            Align2::CENTER_CENTER,
            tick_words(v),
            font.clone(),
            theme.faint,
        );
    }
    let unit = Pos2::new(room.right() + 8.0, room.bottom() + 12.0);
    painter.text(unit, Align2::LEFT_CENTER, "mm", font, theme.faint);
}

#[cfg(test)]
mod tests {
    use super::{super::layer_at::layer, *};

    fn band(span: Span) -> Band {
        Band {
            rect: Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(100.0, 50.0)),
            span,
            values: Scale::straight(40.0),
        }
    }

    #[test]
    fn layers_without_a_value_leave_a_gap() {
        let mut layers: Vec<_> = (1..=6).map(|i| layer(f64::from(i), 20.0)).collect();
        layers[2].minimum_s = None;
        let pieces = band(Span::whole(6.0)).steps(&layers, |l| l.minimum_s);
        assert_eq!(pieces.iter().map(Vec::len).collect::<Vec<_>>(), [2, 3]);
        let close = |a: f32, b: f32| (a - b).abs() < 1e-3;
        assert!(close(pieces[0][1].to, 10.0 + 200.0 / 6.0) && close(pieces[1][0].from, 60.0), "{pieces:?}");
        assert!(band(Span::whole(6.0)).steps(&layers, |_| None).is_empty());
    }

    #[test]
    fn every_layer_is_a_level_step_from_its_foot_to_its_top_the_first_one_too() {
        let mut layers: Vec<_> = (1..=10).map(|i| layer(f64::from(i), f64::from(i))).collect();
        layers[0].natural_s = 40.0;
        let pieces = band(Span::whole(10.0)).steps(&layers, |l| Some(l.natural_s));
        assert_eq!(pieces.len(), 1);
        for (i, s) in pieces[0].iter().enumerate() {
            assert_eq!(s.least, s.most, "level");
            assert!((s.from - (10.0 + 10.0 * i as f32)).abs() < 1e-3 && (s.to - s.from - 10.0).abs() < 1e-3, "{s:?}");
        }
        assert_eq!(pieces[0][0].most, 20.0, "the first layer reaches its own time at the head of the band");
        // The line turns at right angles only.
        let mut pen = Pen::new(Rect::EVERYTHING, 1.0);
        line(&mut pen, &pieces, 1.0, Color32::BLACK, Dash::Solid);
        assert!(!pen.finish().vertices.is_empty());
    }

    #[test]
    fn layers_too_narrow_to_see_keep_their_least_and_most() {
        let layers: Vec<_> =
            (1..=1000).map(|i| layer(f64::from(i) * 0.1, if i % 2 == 0 { 10.0 } else { 30.0 })).collect();
        let pieces = band(Span::whole(100.0)).steps(&layers, |l| Some(l.natural_s));
        assert!(pieces[0].len() <= 125, "about one a point: {}", pieces[0].len());
        for s in &pieces[0][1..pieces[0].len() - 1] {
            assert!((s.least - 57.5).abs() < 1e-3 && (s.most - 32.5).abs() < 1e-3, "{s:?}");
        }
        // A tenth of the height: the layers come apart again.
        let near = Span { from_mm: 0.0, to_mm: 5.0 };
        assert_eq!(band(near).steps(&layers, |l| Some(l.natural_s))[0].len(), 50);
    }

    #[test]
    fn numbers_of_a_low_band_do_not_lie_on_each_other() {
        let told = |ys: &[f32]| told_apart(ys).into_iter().map(|t| t.1).collect::<Vec<_>>();
        assert_eq!(told(&[50.0, 30.0, 10.0]), [true; 3]);
        // A knee near the head: its number goes, the longest layer's stays.
        assert_eq!(told(&[50.0, 8.0, 1.0]), [true, false, true]);
        assert_eq!(told(&[12.0, 8.0, 1.0]), [true, false, true]);
        assert_eq!(told(&[5.0, 1.0]), [true, false]);
        assert!(told(&[]).is_empty());
    }

    #[test]
    fn nought_is_at_the_foot_and_the_most_at_the_head() {
        let rect = Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(100.0, 50.0));
        let band = Band { rect, span: Span::whole(40.0), values: Scale::straight(2.0) };
        assert_eq!(band.at(0.0, 0.0), rect.left_bottom());
        assert_eq!(band.at(40.0, 2.0), rect.right_top());
        let near = Band { span: Span { from_mm: 10.0, to_mm: 20.0 }, ..band };
        assert_eq!((near.at(10.0, 0.0), near.at(20.0, 2.0)), (rect.left_bottom(), rect.right_top()));
        assert_eq!(round_heights(near.span, 100.0), [10.0, 15.0, 20.0]);
        assert_eq!(round_values(2.0, 100.0), [0.0, 1.0, 2.0]);
        // On the lowest band there is still a number beside nought.
        for most in [1.1, 2.0, 2.4, 4.9, 30.0, 31.9, 47.0, 99.0] {
            assert!(round_values(most, 44.0).len() > 1, "{most}");
        }
    }
}
