//! Marks of a drawing on a page of PDF.

use krilla::{
    color::{luma, rgb},
    geom::{Path, PathBuilder, Point as At},
    num::NormalizedF32,
    paint::{Fill, FillRule, LineCap, LineJoin, Paint, Stroke, StrokeDash},
    surface::Surface,
};

use super::pdf_text::Fonts;
use crate::{
    drawing::{Anchor, Dash, Ink, Mark, PT_MM, Palette, hatch},
    geom::{Point, Region},
};

/// Typographic points (1/72 inch) to the millimetre.
pub(super) const PT_OF_MM: f64 = 72.0 / 25.4;
/// What lies farther out than this, points, is left out: far beyond any page, and a number that PDF readers take.
const FARTHEST_PT: f64 = 14_400.0;
/// Height of capitals in ems, Inter.
const CAPITALS_EM: f64 = 0.727;

/// What marks are drawn with.
pub(super) struct Sheet<'a> {
    pub(super) palette: &'a Palette,
    pub(super) fonts: &'a Fonts,
    /// The page's height: marks count from its foot, PDF's surface from its head.
    pub(super) height_mm: f64,
}

impl Sheet<'_> {
    fn at(&self, p: Point) -> Option<At> {
        let (x, y) = (p.x * PT_OF_MM, (self.height_mm - p.y) * PT_OF_MM);
        (x.abs() < FARTHEST_PT && y.abs() < FARTHEST_PT).then(|| At::from_xy(round(x), round(y)))
    }
    fn paint(&self, ink: Ink) -> Paint {
        let [r, g, b] = self.palette.rgb(ink);
        if r == g && g == b { luma::Color::new(r).into() } else { rgb::Color::new(r, g, b).into() }
    }
    fn path<'p>(&self, lines: impl IntoIterator<Item = (&'p [Point], bool)>) -> Option<Path> {
        let mut path = PathBuilder::new();
        for (points, closed) in lines {
            for (i, p) in points.iter().enumerate() {
                let at = self.at(*p)?;
                if i == 0 { path.move_to(at.x, at.y) } else { path.line_to(at.x, at.y) }
            }
            if closed && !points.is_empty() {
                path.close();
            }
        }
        path.finish()
    }
    fn stroke(&self, ink: Ink, width_pt: f32, dash: Dash) -> Stroke {
        let of_pt = |pt: f32| (f64::from(pt) * PT_MM * PT_OF_MM) as f32;
        let pattern: Vec<f32> = dash.pattern_pt().iter().map(|pt| of_pt(*pt)).collect();
        Stroke {
            paint: self.paint(ink),
            width: of_pt(width_pt),
            line_join: LineJoin::Round,
            dash: (!pattern.is_empty()).then_some(StrokeDash { array: pattern, offset: 0.0 }),
            ..Stroke::default()
        }
    }
}

/// To a thousandth of a point: far below what a printer shows, and short in the file.
fn round(v: f64) -> f32 {
    ((v * 1000.0).round() / 1000.0) as f32
}

/// Draws a mark. What has a coordinate that is no number is left out.
pub(super) fn draw(mark: &Mark, surface: &mut Surface<'_>, sheet: &Sheet<'_>) {
    match mark {
        Mark::Fill { region, ink, opacity } => {
            let fill = Fill {
                paint: sheet.paint(*ink),
                opacity: NormalizedF32::new(opacity.clamp(0.0, 1.0)).unwrap_or(NormalizedF32::ONE),
                rule: FillRule::EvenOdd,
            };
            paint(surface, loops(region, sheet), Some(fill), None);
        }
        Mark::Outline { region, ink, width_pt, dash } => {
            paint(surface, loops(region, sheet), None, Some(sheet.stroke(*ink, *width_pt, *dash)));
        }
        Mark::Stroke { points, closed, ink, width_pt, dash } => {
            let path = sheet.path([(points.as_slice(), *closed)]);
            paint(surface, path, None, Some(sheet.stroke(*ink, *width_pt, *dash)));
        }
        Mark::Pattern { region, hatch, ink } => {
            let lines = hatch::lines(region, *hatch, hatch::PAPER_SPACING_MM);
            if !lines.is_empty() {
                let path = sheet.path(lines.iter().map(|l| (l.as_slice(), false)));
                paint(surface, path, None, Some(sheet.stroke(*ink, 0.8, Dash::Solid)));
            }
            let dots: Vec<[Point; 2]> = hatch::dots(region, *hatch, hatch::PAPER_SPACING_MM)
                .into_iter()
                // A line of no length is left out by some printers.
                .map(|p| [p, p + Point::new(0.01, 0.0)])
                .collect();
            if !dots.is_empty() {
                let path = sheet.path(dots.iter().map(|d| (d.as_slice(), false)));
                let stroke = Stroke { line_cap: LineCap::Round, ..sheet.stroke(*ink, 2.0, Dash::Solid) };
                paint(surface, path, None, Some(stroke));
            }
        }
        Mark::Text { at, anchor, text, size_pt, bold, ink } => {
            let size_mm = f64::from(*size_pt) * PT_MM;
            if text.is_empty() || !(size_mm > 0.0 && size_mm < FARTHEST_PT) {
                return;
            }
            let line = sheet.fonts.line(text, *bold);
            let wide = f64::from(line.width_em) * size_mm;
            let (left, down) = match anchor {
                Anchor::Start => (0.0, 0.0),
                Anchor::Middle => (wide / 2.0, 0.0),
                Anchor::End => (wide, 0.0),
                Anchor::Centre => (wide / 2.0, CAPITALS_EM / 2.0 * size_mm),
            };
            let Some(start) = sheet.at(*at - Point::new(left, down)) else { return };
            surface.set_stroke(None);
            surface.set_fill(Some(Fill { paint: sheet.paint(*ink), ..Fill::default() }));
            surface.draw_glyphs(start, &line.glyphs, line.font, text, (size_mm * PT_OF_MM) as f32, false);
        }
    }
}

fn loops(region: &Region, sheet: &Sheet<'_>) -> Option<Path> {
    sheet.path(region.loops().map(|l| (l.as_slice(), true)))
}

fn paint(surface: &mut Surface<'_>, path: Option<Path>, fill: Option<Fill>, stroke: Option<Stroke>) {
    let Some(path) = path else { return };
    surface.set_fill(fill);
    surface.set_stroke(stroke);
    surface.draw_path(&path);
}
