//! Drawings as SVG 1.1 in millimetres at true size.

use std::fmt::Write;

use super::values::{rounded, xml};
use crate::{
    drawing::{Anchor, Dash, Mark, PT_MM, Palette, Rgb, Scene, hatch},
    geom::{Point, Region},
};

/// Height of capitals in ems, Inter.
const CAPITALS_EM: f64 = 0.727;

/// The scene, a millimetre of it to a millimetre of paper, its view filling the picture. Text asks for Inter; figures
/// come out tabular where that font is present.
pub fn svg(scene: &Scene, palette: &Palette) -> String {
    let mut w = Writer { out: String::new(), top: scene.view.max.y, left: scene.view.min.x, palette };
    let (width, height) = (scene.view.width(), scene.view.height());
    w.out.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    w.number(width);
    w.out.push_str("mm\" height=\"");
    w.number(height);
    w.out.push_str("mm\" viewBox=\"0 0 ");
    w.number(width);
    w.out.push(' ');
    w.number(height);
    w.out.push_str(
        "\" font-family=\"Inter, sans-serif\" style=\"font-feature-settings:'tnum'\" fill=\"none\" \
         stroke-linejoin=\"round\">\n",
    );
    for mark in &scene.marks {
        w.mark(mark);
    }
    w.out.push_str("</svg>\n");
    w.out
}

struct Writer<'a> {
    out: String,
    top: f64,
    left: f64,
    palette: &'a Palette,
}

fn colour(c: Rgb) -> String {
    format!("#{:02X}{:02X}{:02X}", c[0], c[1], c[2])
}

impl Writer<'_> {
    fn number(&mut self, v: f64) {
        rounded(&mut self.out, if v.is_finite() { v } else { 0.0 }, 4);
    }
    fn point(&mut self, p: Point) {
        self.number(p.x - self.left);
        self.out.push(' ');
        self.number(self.top - p.y);
    }
    fn path(&mut self, points: &[Point], closed: bool) {
        for (i, p) in points.iter().enumerate() {
            self.out.push(if i == 0 { 'M' } else { 'L' });
            self.point(*p);
        }
        if closed && !points.is_empty() {
            self.out.push('Z');
        }
    }
    fn region(&mut self, region: &Region) {
        self.out.push_str("<path d=\"");
        for l in region.loops() {
            self.path(l, true);
        }
        self.out.push('"');
    }
    fn stroke(&mut self, rgb: Rgb, width_pt: f32, dash: Dash) {
        // Writing to a string cannot fail.
        let _ = write!(self.out, " stroke=\"{}\" stroke-width=\"", colour(rgb));
        self.number(f64::from(width_pt) * PT_MM);
        self.out.push('"');
        if dash != Dash::Solid {
            self.out.push_str(" stroke-dasharray=\"");
            for (i, &pt) in dash.pattern_pt().iter().enumerate() {
                if i > 0 {
                    self.out.push(' ');
                }
                self.number(f64::from(pt) * PT_MM);
            }
            self.out.push('"');
        }
        self.out.push_str("/>\n");
    }
    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Fill { region, ink, opacity } => {
                self.region(region);
                let _ = write!(self.out, " fill-rule=\"evenodd\" fill=\"{}\"", colour(self.palette.rgb(*ink)));
                if *opacity < 1.0 {
                    self.out.push_str(" fill-opacity=\"");
                    self.number(f64::from(*opacity));
                    self.out.push('"');
                }
                self.out.push_str("/>\n");
            }
            Mark::Outline { region, ink, width_pt, dash } => {
                self.region(region);
                self.stroke(self.palette.rgb(*ink), *width_pt, *dash);
            }
            Mark::Stroke { points, closed, ink, width_pt, dash } => {
                self.out.push_str("<path d=\"");
                self.path(points, *closed);
                self.out.push('"');
                self.stroke(self.palette.rgb(*ink), *width_pt, *dash);
            }
            Mark::Pattern { region, hatch, ink } => {
                let rgb = self.palette.rgb(*ink);
                let lines = hatch::lines(region, *hatch, hatch::PAPER_SPACING_MM);
                if !lines.is_empty() {
                    self.out.push_str("<path d=\"");
                    for l in &lines {
                        self.path(l, false);
                    }
                    self.out.push('"');
                    self.stroke(rgb, 0.8, Dash::Solid);
                }
                let dots = hatch::dots(region, *hatch, hatch::PAPER_SPACING_MM);
                if !dots.is_empty() {
                    // A dot is a line of no length with round ends.
                    self.out.push_str("<path stroke-linecap=\"round\" d=\"");
                    for p in dots {
                        self.path(&[p, p], false);
                    }
                    self.out.push('"');
                    self.stroke(rgb, 2.0, Dash::Solid);
                }
            }
            Mark::Text { at, anchor, text, size_pt, bold, ink } => {
                let size_mm = f64::from(*size_pt) * PT_MM;
                let (place, down) = match anchor {
                    Anchor::Start => ("start", 0.0),
                    Anchor::Middle => ("middle", 0.0),
                    Anchor::End => ("end", 0.0),
                    Anchor::Centre => ("middle", CAPITALS_EM / 2.0 * size_mm),
                };
                self.out.push_str("<text x=\"");
                self.number(at.x - self.left);
                self.out.push_str("\" y=\"");
                self.number(self.top - at.y + down);
                self.out.push_str("\" font-size=\"");
                self.number(size_mm);
                let weight = if *bold { 600 } else { 400 };
                let _ = writeln!(
                    self.out,
                    "\" font-weight=\"{weight}\" text-anchor=\"{place}\" fill=\"{}\">{}</text>",
                    colour(self.palette.rgb(*ink)),
                    xml(text)
                );
            }
        }
    }
}
