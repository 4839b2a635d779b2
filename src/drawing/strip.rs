//! The height strip: layer time, minimum layer time and headroom over build height.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Mark, Scale, Scene, ruler::ruler_steps_mm, scale::tick_words, scene::PT_MM};
use crate::geom::{Bounds, Point, Polygon, Region};

/// Headroom at the upper edge of its band: twice the time a layer needs is plenty.
pub const HEADROOM_MOST: f64 = 2.0;

/// What the band says instead of a curve where [`plenty`].
pub const PLENTY: &str = "above 2 at every height: each layer takes more than twice the time it needs";

/// What the mark at the first layer with one copy left says.
pub const ALONE: &str = "one copy left";

/// What the mark at the layer with the least headroom says.
pub fn worst_words(headroom: f64) -> String {
    format!("worst layer, {headroom:.2}×")
}

/// True where there is headroom to show and all of it lies above its band.
pub fn plenty(headroom: impl IntoIterator<Item = Option<f64>>) -> bool {
    let mut any = false;
    for h in headroom.into_iter().flatten() {
        if h <= HEADROOM_MOST {
            return false;
        }
        any = true;
    }
    any
}

/// Share of the height that layer times take where there is headroom to show too.
const TIMES_SHARE: f64 = 0.56;
/// Between the two bands, mm on paper.
const BETWEEN_MM: f64 = 4.0;

/// One layer in the height strip.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StripLayer {
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Layer time without slowing down, s.
    pub natural_s: f64,
    /// Time that the layer needs to cool; `None` where no minimum is set.
    pub minimum_s: Option<f64>,
    /// Number of copies growing.
    pub copies: usize,
}

impl StripLayer {
    fn headroom(&self) -> Option<f64> {
        self.minimum_s.filter(|m| *m > 0.0).map(|m| self.natural_s / m)
    }
}

/// A height strip of `width_mm` × `height_mm` on paper, its lower left corner at the origin: layer times above, headroom
/// below. Layers short of cooling are dotted; `cursor_mm` is the height cursor.
pub fn height_strip(layers: &[StripLayer], cursor_mm: Option<f64>, width_mm: f64, height_mm: f64) -> Scene {
    let view = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let room = Bounds::new(Point::new(12.0, 7.0), Point::new(width_mm - 8.0, height_mm - 9.0));
    let title = "Layer time and headroom";
    let mut marks = vec![text(title, Point::new(1.5, height_mm - 4.5), Anchor::Start, true, Ink::Ink)];
    let top_mm = layers.iter().map(|l| l.z_mm).filter(|z| z.is_finite()).fold(0.0, f64::max);
    let scale = times_scale(layers);
    if top_mm <= 0.0 || scale.longest <= 0.0 || room.is_empty() {
        return Scene { view, marks };
    }
    let (mut upper, mut lower) = (room, None);
    if layers.iter().any(|l| l.headroom().is_some()) {
        upper.min.y = room.max.y - (room.height() - BETWEEN_MM) * TIMES_SHARE;
        lower = Some(Bounds::new(room.min, Point::new(room.max.x, upper.min.y - BETWEEN_MM)));
    }
    let times = Band { plot: upper, top_mm, scale };
    times_marks(&times, layers, &mut marks);
    times.frame(scale.ticks(upper.height() / PT_MM).into_iter(), "s", &mut marks);
    if let Some(plot) = lower {
        let headroom = Band { plot, top_mm, scale: Scale::straight(HEADROOM_MOST) };
        headroom_marks(&headroom, layers, &mut marks);
        headroom.frame([0.0, 1.0, 2.0].into_iter(), "×", &mut marks);
    }
    sights(&Band { plot: room, top_mm, scale: Scale::straight(1.0) }, layers, &mut marks);
    let step = ruler_steps_mm(top_mm / room.width() * PT_MM).1;
    for v in (0..).map(|k| f64::from(k) * step).take_while(|v| *v <= top_mm) {
        let foot = Point::new(room.min.x + v / top_mm * room.width(), room.min.y);
        marks.push(Mark::line(foot, foot - Point::new(0.0, 1.0), Ink::Ink, 0.8));
        marks.push(text(&format!("{v}"), foot - Point::new(0.0, 4.4), Anchor::Middle, false, Ink::Faint));
    }
    marks.push(text("mm", Point::new(room.max.x + 2.0, room.min.y - 4.4), Anchor::Start, false, Ink::Faint));
    if let Some(z) = cursor_mm.filter(|z| (0.0..=top_mm).contains(z)) {
        let x = times.at(z, 0.0).x;
        marks.push(Mark::line(Point::new(x, room.min.y), Point::new(x, room.max.y), Ink::Accent, 1.5));
    }
    Scene { view, marks }
}

/// The scale on which every layer time is shown in full.
fn times_scale(layers: &[StripLayer]) -> Scale {
    let mut foot_mm = 0.0;
    let times = layers.iter().map(|l| {
        let height = l.z_mm - foot_mm;
        foot_mm = l.z_mm;
        (height, l.natural_s)
    });
    let minimum_s = layers.iter().filter_map(|l| l.minimum_s).filter(|m| m.is_finite()).fold(0.0, f64::max);
    Scale::of_times(times, minimum_s)
}

fn times_marks(band: &Band, layers: &[StripLayer], marks: &mut Vec<Mark>) {
    let natural = band.steps(layers, |l| Some(l.natural_s));
    if let (Some(first), Some(last)) = (natural.first(), natural.last()) {
        let feet = [Point::new(last.x, band.plot.min.y), Point::new(first.x, band.plot.min.y)];
        let area: Region = Polygon::simple([natural.as_slice(), &feet].concat()).into();
        marks.push(Mark::Fill { region: Arc::new(area), ink: Ink::Part(1), opacity: 0.25 });
    }
    band.dots(layers, |l| Some((l.natural_s, l.minimum_s?)), marks);
    marks.push(line(natural, Ink::Ink, 1.2, Dash::Solid));
    let minimum = band.steps(layers, |l| l.minimum_s);
    if let Some(&end) = minimum.last() {
        let label = Point::new(band.plot.max.x, end.y + 1.2);
        marks.push(line(minimum, Ink::Watch, 1.2, Dash::Dashed));
        marks.push(text("minimum layer time", label, Anchor::End, false, Ink::Watch));
    }
}

fn headroom_marks(band: &Band, layers: &[StripLayer], marks: &mut Vec<Mark>) {
    band.dots(layers, |l| Some((l.headroom()?, 1.0)), marks);
    let enough = vec![band.at(0.0, 1.0), band.at(band.top_mm, 1.0)];
    let label = Point::new(band.plot.max.x, enough[1].y + 1.2);
    marks.push(line(enough, Ink::Watch, 1.2, Dash::Dashed));
    // What is beyond the band is left out: drawn along its edge it would read as that value.
    let mut foot_mm = 0.0;
    for run in layers.chunk_by(|a, b| in_band(a) == in_band(b)) {
        if in_band(&run[0]) {
            marks.push(line(band.steps_from(foot_mm, run, StripLayer::headroom), Ink::Accent, 1.4, Dash::Solid));
        }
        foot_mm = run[run.len() - 1].z_mm;
    }
    if plenty(layers.iter().map(StripLayer::headroom)) {
        marks.push(text(PLENTY, band.plot.centre(), Anchor::Middle, false, Ink::Faint));
    }
    marks.push(text("headroom", label, Anchor::End, false, Ink::Faint));
}

/// The worst layer and the first one with one copy left of several, each a line with its words at the top.
fn sights(band: &Band, layers: &[StripLayer], marks: &mut Vec<Mark>) {
    let worst = layers.iter().filter_map(|l| Some((l.z_mm, l.headroom()?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let last = layers.windows(2).find(|w| w[0].copies > 1 && w[1].copies == 1).map(|w| w[1].z_mm);
    let worst = worst.map(|(z, h)| (z, worst_words(h)));
    for (row, (z_mm, words)) in worst.into_iter().chain(last.map(|z| (z, ALONE.to_owned()))).enumerate() {
        let head = band.at(z_mm, 1.0) - Point::new(0.0, row as f64 * 4.0);
        marks.push(Mark::line(Point::new(head.x, band.plot.min.y), head, Ink::Accent, 0.8));
        // On the side that has more room.
        let right = head.x < band.plot.centre().x;
        let (by, anchor) = if right { (1.2, Anchor::Start) } else { (-1.2, Anchor::End) };
        marks.push(text(&words, head + Point::new(by, -3.0), anchor, false, Ink::Accent));
    }
}

fn in_band(layer: &StripLayer) -> bool {
    layer.headroom().is_some_and(|h| h <= HEADROOM_MOST)
}

/// A quantity over height.
struct Band {
    plot: Bounds,
    top_mm: f64,
    scale: Scale,
}

impl Band {
    /// A value at a height; what is beyond the band lies at its edge.
    fn at(&self, z_mm: f64, value: f64) -> Point {
        Point::new(
            self.plot.min.x + (z_mm / self.top_mm).clamp(0.0, 1.0) * self.plot.width(),
            self.plot.min.y + self.scale.share(value) * self.plot.height(),
        )
    }
    fn steps(&self, layers: &[StripLayer], value: impl Fn(&StripLayer) -> Option<f64>) -> Vec<Point> {
        self.steps_from(0.0, layers, value)
    }
    /// A curve in steps, a step a layer, the first of them from the height `from`.
    fn steps_from(
        &self,
        mut from: f64,
        layers: &[StripLayer],
        value: impl Fn(&StripLayer) -> Option<f64>,
    ) -> Vec<Point> {
        let mut line = Vec::with_capacity(layers.len() * 2);
        for l in layers {
            if let Some(v) = value(l).filter(|v| v.is_finite()) {
                line.push(self.at(from, v));
                line.push(self.at(l.z_mm, v));
            }
            from = l.z_mm;
        }
        line
    }
    /// Dots between two values of each layer that has both, where the first is below the second.
    fn dots(&self, layers: &[StripLayer], between: impl Fn(&StripLayer) -> Option<(f64, f64)>, marks: &mut Vec<Mark>) {
        let mut from = 0.0;
        let mut short = Region::EMPTY;
        for l in layers {
            if let Some((low, high)) = between(l).filter(|(low, high)| low < high) {
                let (a, b) = (self.at(from, low), self.at(l.z_mm, high));
                match short.polygons.last_mut().map(|p| &mut p.outer) {
                    // A run of equal layers is one patch.
                    Some(last) if (last[1].x - a.x).abs() < 1e-9 && last[0].y == a.y && last[2].y == b.y => {
                        last[1].x = b.x;
                        last[2].x = b.x;
                    }
                    _ => short.polygons.push(Polygon::rectangle(Bounds::new(a, b))),
                }
            }
            from = l.z_mm;
        }
        if !short.is_empty() {
            marks.push(Mark::Pattern { region: Arc::new(short), hatch: Hatch::Dots, ink: Ink::Watch });
        }
    }
    /// Lower and left edge, with ticks and numbers on the left and the unit above them.
    fn frame(&self, values: impl Iterator<Item = f64>, unit: &str, marks: &mut Vec<Mark>) {
        let (low, high) = (self.plot.min, self.plot.max);
        marks.push(Mark::line(low, Point::new(high.x, low.y), Ink::Ink, 0.8));
        marks.push(Mark::line(low, Point::new(low.x, high.y), Ink::Ink, 0.8));
        let mut last = low.y;
        for v in values {
            let p = self.at(0.0, v);
            marks.push(Mark::line(p, p - Point::new(1.0, 0.0), Ink::Ink, 0.8));
            marks.push(text(&tick_words(v), p - Point::new(1.8, 1.0), Anchor::End, false, Ink::Faint));
            last = p.y;
        }
        if let Some(share) = self.scale.knee_share() {
            // Two short strokes across the edge, as a broken scale is drawn.
            let knee = Point::new(low.x, low.y + share * self.plot.height());
            for up in [0.4, 1.2] {
                let (a, b) = (knee + Point::new(-0.9, up - 0.4), knee + Point::new(0.9, up + 0.4));
                marks.push(Mark::line(a, b, Ink::Ink, 0.8));
            }
        }
        if high.y - last > 3.0 {
            marks.push(text(unit, Point::new(low.x - 1.8, high.y - 1.0), Anchor::End, false, Ink::Faint));
        }
    }
}

fn line(points: Vec<Point>, ink: Ink, width_pt: f32, dash: Dash) -> Mark {
    Mark::Stroke { points, closed: false, ink, width_pt, dash }
}

fn text(text: &str, at: Point, anchor: Anchor, bold: bool, ink: Ink) -> Mark {
    Mark::Text { at, anchor, text: text.to_owned(), size_pt: if bold { 12.0 } else { 10.0 }, bold, ink }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers(minimum_s: Option<f64>) -> Vec<StripLayer> {
        let natural = |i| if i > 60 { 6.0 } else { 40.0 };
        (1..=100)
            .map(|i| StripLayer {
                z_mm: f64::from(i) * 0.2,
                natural_s: natural(i),
                minimum_s,
                copies: if i > 60 { 1 } else { 4 },
            })
            .collect()
    }

    fn dotted(scene: &Scene) -> Vec<Arc<Region>> {
        let of = |m: &Mark| match m {
            Mark::Pattern { region, hatch: Hatch::Dots, .. } => Some(region.clone()),
            _ => None,
        };
        scene.marks.iter().filter_map(of).collect()
    }

    #[test]
    fn short_layers_are_dotted_and_nothing_is_drawn_of_nothing() {
        let scene = height_strip(&layers(Some(15.0)), Some(10.0), 180.0, 60.0);
        let dotted = dotted(&scene);
        assert_eq!(dotted.len(), 2, "in the times and in the headroom");
        for region in &dotted {
            assert_eq!(region.polygons.len(), 1);
            // 40 of 100 layers over a plot 160 mm wide.
            assert!((region.bounds().width() - 64.0).abs() < 1e-9);
        }
        // Headroom 6 ÷ 15 up to 1, of a band that ends at 2.
        let band = dotted[1].bounds();
        let full = (60.0 - 16.0 - BETWEEN_MM) * (1.0 - TIMES_SHARE);
        assert!((band.height() - full * (1.0 - 0.4) / HEADROOM_MOST).abs() < 1e-9, "{band:?}");
        assert_eq!(height_strip(&[], None, 180.0, 40.0).marks.len(), 1);
    }

    #[test]
    fn plenty_of_headroom_is_not_drawn_as_the_bands_edge() {
        let scene = height_strip(&layers(Some(15.0)), None, 180.0, 60.0);
        let curve = |m: &Mark| match m {
            // The marks of single heights are upright lines.
            Mark::Stroke { points, ink: Ink::Accent, .. } if points[0].x != points[points.len() - 1].x => {
                Some(points.clone())
            }
            _ => None,
        };
        let curves: Vec<_> = scene.marks.iter().filter_map(curve).collect();
        assert_eq!(curves.len(), 1, "40 ÷ 15 is beyond the band, 6 ÷ 15 within");
        // From 12 of 20 mm to the end of a plot that begins at 12 mm and is 160 mm wide.
        assert!((curves[0][0].x - (12.0 + 96.0)).abs() < 1e-9, "{:?}", curves[0][0]);
    }

    fn says(scene: &Scene, words: &str) -> Option<Point> {
        let of = |m: &Mark| match m {
            Mark::Text { at, text, .. } if text == words => Some(*at),
            _ => None,
        };
        scene.marks.iter().find_map(of)
    }

    #[test]
    fn the_worst_layer_and_the_last_copy_are_marked() {
        let scene = height_strip(&layers(Some(15.0)), None, 180.0, 60.0);
        // Layer 61 of 100 over a plot 160 mm wide that begins at 12 mm; the words stand left of it.
        let x = 12.0 + 0.61 * 160.0 - 1.2;
        for words in ["worst layer, 0.40×", "one copy left"] {
            let at = says(&scene, words).expect("it is marked");
            assert!((at.x - x).abs() < 1e-9, "{words} at {at:?}");
        }
        assert_eq!(says(&scene, PLENTY), None);
        let alone: Vec<_> = layers(None).into_iter().map(|l| StripLayer { copies: 1, ..l }).collect();
        let scene = height_strip(&alone, None, 180.0, 60.0);
        assert_eq!(says(&scene, "one copy left"), None);
    }

    #[test]
    fn plenty_everywhere_is_said_in_words() {
        // 6 s at the least, against 2.9 s and against 3 s: at just twice there still is a curve.
        assert!(says(&height_strip(&layers(Some(2.9)), None, 180.0, 60.0), PLENTY).is_some());
        assert_eq!(says(&height_strip(&layers(Some(3.0)), None, 180.0, 60.0), PLENTY), None);
        assert!(!plenty([None, None]) && !plenty([]) && plenty([None, Some(2.5)]));
    }

    #[test]
    fn without_a_minimum_there_is_no_headroom_to_draw() {
        let scene = height_strip(&layers(None), None, 180.0, 60.0);
        assert!(dotted(&scene).is_empty());
        let words = |m: &Mark| matches!(m, Mark::Text { text, .. } if text == "headroom");
        assert!(!scene.marks.iter().any(words));
    }
}
