//! The height strip: layer time and minimum layer time over build height.

use std::sync::Arc;

use super::{Anchor, Dash, Hatch, Ink, Mark, Scene, ruler::ruler_steps_mm, scene::PT_MM};
use crate::geom::{Bounds, Point, Polygon, Region};

/// One layer in the height strip.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StripLayer {
    /// Top of the layer, mm.
    pub z_mm: f64,
    /// Layer time without slowing down, s.
    pub natural_s: f64,
    /// Time that the layer needs to cool; `None` where no minimum is set.
    pub minimum_s: Option<f64>,
}

/// A height strip of `width_mm` × `height_mm` on paper, its lower left corner at the origin. Layers short of cooling are
/// dotted; `cursor_mm` is the height cursor.
pub fn height_strip(layers: &[StripLayer], cursor_mm: Option<f64>, width_mm: f64, height_mm: f64) -> Scene {
    let view = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let plot = Bounds::new(Point::new(12.0, 7.0), Point::new(width_mm - 8.0, height_mm - 9.0));
    let mut marks =
        vec![text("Layer time over height", Point::new(1.5, height_mm - 4.5), Anchor::Start, true, Ink::Ink)];
    let top_z = layers.iter().map(|l| l.z_mm).filter(|z| z.is_finite()).fold(0.0, f64::max);
    let top_s = layers
        .iter()
        .flat_map(|l| [l.natural_s, l.minimum_s.unwrap_or(0.0)])
        .filter(|s| s.is_finite())
        .fold(0.0, f64::max)
        * 1.08;
    if top_z <= 0.0 || top_s <= 0.0 || plot.is_empty() {
        return Scene { view, marks };
    }
    let at = |z: f64, s: f64| {
        Point::new(
            plot.min.x + (z / top_z).clamp(0.0, 1.0) * plot.width(),
            plot.min.y + (s / top_s).clamp(0.0, 1.0) * plot.height(),
        )
    };
    let steps = |value: fn(&StripLayer) -> Option<f64>| {
        let mut from = 0.0;
        let mut line = Vec::with_capacity(layers.len() * 2);
        for l in layers {
            if let Some(v) = value(l).filter(|v| v.is_finite()) {
                line.push(at(from, v));
                line.push(at(l.z_mm, v));
            }
            from = l.z_mm;
        }
        line
    };
    let natural = steps(|l| Some(l.natural_s));
    if natural.len() >= 2 {
        let mut area = natural.clone();
        area.push(Point::new(natural[natural.len() - 1].x, plot.min.y));
        area.push(Point::new(natural[0].x, plot.min.y));
        let area: Region = Polygon::simple(area).into();
        marks.push(Mark::Fill { region: Arc::new(area), ink: Ink::Part(1), opacity: 0.25 });
    }
    let mut from = 0.0;
    let mut short = Region::EMPTY;
    for l in layers {
        if let Some(minimum) = l.minimum_s.filter(|m| *m > l.natural_s) {
            let (a, b) = (at(from, l.natural_s), at(l.z_mm, minimum));
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
    let line = |points, ink, width_pt, dash| Mark::Stroke { points, closed: false, ink, width_pt, dash };
    marks.push(line(natural, Ink::Ink, 1.2, Dash::Solid));
    let minimum = steps(|l| l.minimum_s);
    if let Some(&end) = minimum.last() {
        let mut label = end + Point::new(0.0, 1.2);
        label.x = plot.max.x;
        marks.push(line(minimum, Ink::Watch, 1.2, Dash::Dashed));
        marks.push(text("minimum layer time", label, Anchor::End, false, Ink::Watch));
    }
    marks.push(Mark::line(plot.min, Point::new(plot.max.x, plot.min.y), Ink::Ink, 0.8));
    marks.push(Mark::line(plot.min, Point::new(plot.min.x, plot.max.y), Ink::Ink, 0.8));
    for (across, top, size) in [(true, top_z, plot.width()), (false, top_s, plot.height())] {
        let step = ruler_steps_mm(top / size * PT_MM).1;
        let mut k = 0.0;
        while k * step <= top {
            let v = k * step;
            let (p, out) =
                if across { (at(v, 0.0), Point::new(0.0, -1.0)) } else { (at(0.0, v), Point::new(-1.0, 0.0)) };
            marks.push(Mark::line(p, p + out, Ink::Ink, 0.8));
            let (label, anchor) =
                if across { (p + out * 4.4, Anchor::Middle) } else { (p + Point::new(-1.8, -1.0), Anchor::End) };
            marks.push(text(&format!("{v}"), label, anchor, false, Ink::Faint));
            k += 1.0;
        }
    }
    marks.push(text("mm", Point::new(plot.max.x + 2.0, plot.min.y - 4.4), Anchor::Start, false, Ink::Faint));
    marks.push(text("s", Point::new(plot.min.x - 1.8, plot.max.y + 1.0), Anchor::End, false, Ink::Faint));
    if let Some(z) = cursor_mm.filter(|z| (0.0..=top_z).contains(z)) {
        marks.push(Mark::line(at(z, 0.0), Point::new(at(z, 0.0).x, plot.max.y), Ink::Accent, 1.5));
    }
    Scene { view, marks }
}

fn text(text: &str, at: Point, anchor: Anchor, bold: bool, ink: Ink) -> Mark {
    Mark::Text { at, anchor, text: text.to_owned(), size_pt: if bold { 12.0 } else { 10.0 }, bold, ink }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_layers_are_dotted_and_nothing_is_drawn_of_nothing() {
        let layers: Vec<StripLayer> = (1..=100)
            .map(|i| StripLayer {
                z_mm: f64::from(i) * 0.2,
                natural_s: if i > 60 { 6.0 } else { 40.0 },
                minimum_s: Some(15.0),
            })
            .collect();
        let scene = height_strip(&layers, Some(10.0), 180.0, 40.0);
        let dotted = scene.marks.iter().find_map(|m| match m {
            Mark::Pattern { region, hatch: Hatch::Dots, .. } => Some(region.clone()),
            _ => None,
        });
        let dotted = dotted.expect("40 layers are short");
        assert_eq!(dotted.polygons.len(), 1);
        // 40 of 100 layers over a plot 160 mm wide.
        assert!((dotted.bounds().width() - 64.0).abs() < 1e-9);
        assert_eq!(height_strip(&[], None, 180.0, 40.0).marks.len(), 1);
    }
}
