//! Layer times over height, estimated and measured, on one pair of axes.

use egui::{Align2, Color32, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, accesskit::Role};

use crate::{
    drawing::{Dash, Scale, round_values, tick_words},
    estimate::gauge::LayerBeside,
    gui::{
        sheet::Pen,
        theme::{self, Theme, size},
        widgets::scale_break,
    },
};

/// Height of the curves with their scales.
const HEIGHT: f32 = 116.0;

/// One of the curves.
struct Curve {
    name: &'static str,
    of: fn(&LayerBeside) -> Option<f64>,
    ink: Color32,
    dash: Dash,
}

fn curves(theme: &Theme) -> [Curve; 3] {
    [
        Curve { name: "unslowed", of: |l| l.natural_s, ink: theme.faint, dash: Dash::Solid },
        Curve { name: "slowed", of: |l| l.estimated_s, ink: theme.ink, dash: Dash::Dashed },
        Curve { name: "measured", of: |l| l.measured_s, ink: theme.accent, dash: Dash::Solid },
    ]
}

/// Shows a curve for each kind of time that any layer has; the layer under the pointer in words.
pub(super) fn show(ui: &mut Ui, layers: &[LayerBeside], theme: &Theme) {
    let top_mm = layers.last().map_or(0.0, |l| l.z_mm);
    let curves: Vec<Curve> = curves(theme).into_iter().filter(|c| layers.iter().any(|l| (c.of)(l).is_some())).collect();
    if top_mm <= 0.0 || curves.is_empty() {
        return;
    }
    ui.add_space(4.0);
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), HEIGHT), Sense::hover());
    let told = curves.iter().map(|c| c.name).collect::<Vec<_>>().join(", ");
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("layer times over height: {told}")));
    let room = Rect::from_min_max(rect.min + Vec2::new(30.0, 20.0), rect.max - Vec2::new(22.0, 16.0));
    let axes = Axes { room, top_mm, times: scale(layers) };
    legend(ui, rect, &curves, theme);
    axes.scales(ui, theme);
    let painter = ui.painter_at(room.expand(2.0));
    let mut pen = Pen::new(painter.clip_rect(), painter.pixels_per_point());
    for c in &curves {
        pen.line(&axes.steps(layers, c.of), false, 1.3, c.ink, c.dash);
    }
    painter.add(Shape::mesh(pen.finish()));
    if let Some(at) = response.hover_pos().filter(|p| room.contains(*p)) {
        painter.vline(at.x, room.y_range(), Stroke::new(size::HAIR, theme.faint));
        let z_mm = f64::from((at.x - room.left()) / room.width()) * top_mm;
        let index = layers.partition_point(|l| l.z_mm < z_mm).min(layers.len() - 1);
        response.on_hover_text_at_pointer(words(&layers[index]));
    }
}

/// "3.20 mm: unslowed 12.1 s, measured 16.3 s".
fn words(l: &LayerBeside) -> String {
    let times = [("unslowed", l.natural_s), ("slowed", l.estimated_s), ("measured", l.measured_s)];
    let told: Vec<String> = times.iter().filter_map(|(name, s)| s.map(|s| format!("{name} {s:.1} s"))).collect();
    format!("{:.2} mm: {}", l.z_mm, told.join(", "))
}

/// What the curves are, in a line above them: a piece of each and its name.
fn legend(ui: &Ui, rect: Rect, curves: &[Curve], theme: &Theme) {
    let painter = ui.painter_at(rect);
    let mut pen = Pen::new(rect, painter.pixels_per_point());
    let font = theme::regular(size::TINY);
    let mut at = rect.left_top() + Vec2::new(0.0, 7.0);
    at.x = painter.text(at, Align2::LEFT_CENTER, "layer times", font.clone(), theme.faint).right() + 10.0;
    for c in curves {
        let end = at + Vec2::new(22.0, 0.0);
        pen.line(&[at, end], false, 1.3, c.ink, c.dash);
        let beside = end + Vec2::new(4.0, 0.0);
        at.x = painter.text(beside, Align2::LEFT_CENTER, c.name, font.clone(), c.ink).right() + 10.0;
    }
    painter.add(Shape::mesh(pen.finish()));
}

/// Where heights and times lie on the screen.
struct Axes {
    room: Rect,
    /// Height at the right edge; the left one is the bed.
    top_mm: f64,
    /// What the times span; the lower edge is nought.
    times: Scale,
}

impl Axes {
    /// A time at a height; what is beyond the edges lies on them.
    fn at(&self, z_mm: f64, time_s: f64) -> Pos2 {
        Pos2::new(
            self.room.left() + (z_mm / self.top_mm).clamp(0.0, 1.0) as f32 * self.room.width(),
            self.room.bottom() - self.times.share(time_s) as f32 * self.room.height(),
        )
    }
    /// A step for each layer that has the time.
    fn steps(&self, layers: &[LayerBeside], of: fn(&LayerBeside) -> Option<f64>) -> Vec<Pos2> {
        let mut from_mm = 0.0;
        let mut line = Vec::new();
        for (z_mm, time_s) in layers.iter().filter_map(|l| Some((l.z_mm, of(l)?))) {
            line.extend([self.at(from_mm, time_s), self.at(z_mm, time_s)]);
            from_mm = z_mm;
        }
        line
    }
    /// Lines along the lower and left edges, with ticks, numbers and units.
    fn scales(&self, ui: &Ui, theme: &Theme) {
        let (painter, room) = (ui.painter(), self.room);
        let line = Stroke::new(size::HAIR, theme.ink);
        let font = theme::regular(size::TINY);
        let write = |at: Pos2, align: Align2, text: String| {
            painter.text(at, align, text, font.clone(), theme.faint);
        };
        painter.hline(room.x_range(), room.bottom(), line);
        painter.vline(room.left(), room.y_range(), line);
        for v in self.times.ticks(f64::from(room.height())) {
            let at = self.at(0.0, v);
            painter.hline(at.x - 4.0..=at.x, at.y, line);
            write(at - Vec2::new(6.0, 0.0), Align2::RIGHT_CENTER, tick_words(v));
        }
        scale_break(painter, &self.times, room, line);
        for v in round_values(self.top_mm, f64::from(room.width())) {
            let at = self.at(v, 0.0);
            painter.vline(at.x, at.y..=at.y + 4.0, line);
            write(at + Vec2::new(0.0, 10.0), Align2::CENTER_CENTER, tick_words(v));
        }
        write(room.right_bottom() + Vec2::new(4.0, 10.0), Align2::LEFT_CENTER, "mm".into());
        write(room.right_top() + Vec2::new(4.0, 0.0), Align2::LEFT_CENTER, "s".into());
    }
}

/// The scale on which every time is shown in full.
fn scale(layers: &[LayerBeside]) -> Scale {
    let mut foot_mm = 0.0;
    let times = layers.iter().map(|l| {
        let height = l.z_mm - foot_mm;
        foot_mm = l.z_mm;
        (height, [l.natural_s, l.estimated_s, l.measured_s].into_iter().flatten().fold(0.0, f64::max))
    });
    Scale::of_times(times, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers() -> Vec<LayerBeside> {
        let layer = |i: u32| {
            let (natural_s, estimated_s) = (Some(10.0), Some(12.0));
            LayerBeside { z_mm: f64::from(i), natural_s, estimated_s, measured_s: (i != 3).then_some(15.0) }
        };
        (1..=100).map(layer).collect()
    }

    #[test]
    fn one_long_layer_does_not_flatten_the_rest() {
        let mut layers = layers();
        assert!((scale(&layers).most - 15.0 * 1.06).abs() < 1e-9);
        layers[0].measured_s = Some(900.0);
        let long = scale(&layers);
        assert!(long.share(15.0) > 0.7 && (0.9..1.0).contains(&long.share(900.0)), "{long:?}");
        assert!(scale(&[]).most > 0.0);
    }

    #[test]
    fn curves_lie_on_the_same_axes() {
        let room = Rect::from_min_size(Pos2::new(10.0, 20.0), Vec2::new(100.0, 50.0));
        let axes = Axes { room, top_mm: 100.0, times: Scale::straight(20.0) };
        let layers = layers();
        let (natural, measured) = (axes.steps(&layers, |l| l.natural_s), axes.steps(&layers, |l| l.measured_s));
        assert_eq!((natural.len(), measured.len()), (200, 198));
        assert_eq!((natural[0], natural[199]), (Pos2::new(10.0, 45.0), Pos2::new(110.0, 45.0)));
        assert_eq!(measured[0], Pos2::new(10.0, 32.5));
        // Where there is no layer, the next one reaches down.
        assert_eq!((measured[4].x, measured[5].x), (12.0, 14.0));
        assert_eq!(axes.at(500.0, 900.0), room.right_top());
    }

    #[test]
    fn a_layer_is_told_with_the_times_that_it_has() {
        let layers = layers();
        assert_eq!(words(&layers[0]), "1.00 mm: unslowed 10.0 s, slowed 12.0 s, measured 15.0 s");
        assert_eq!(words(&layers[2]), "3.00 mm: unslowed 10.0 s, slowed 12.0 s");
    }
}
