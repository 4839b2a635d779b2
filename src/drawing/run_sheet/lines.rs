//! Text in lines of a width.

use crate::drawing::{Anchor, Ink, Mark, PT_MM, text};
use crate::geom::Point;

/// How text is set. Sizes in screen points (paper: 1/96 inch).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Face {
    pub(super) size_pt: f32,
    pub(super) bold: bool,
    pub(super) ink: Ink,
}

impl Face {
    /// Title of a page: 19 typographic points.
    pub(super) const TITLE: Self = Self { size_pt: 26.0, bold: true, ink: Ink::Ink };
    /// Heading of a section.
    pub(super) const HEADING: Self = Self { size_pt: 16.0, bold: true, ink: Ink::Ink };
    /// A figure to be read from where one stands.
    pub(super) const VALUE: Self = Self { size_pt: 17.5, bold: true, ink: Ink::Ink };
    /// Running text: 10.5 typographic points, read at arm's length (common practice, no source).
    pub(super) const BODY: Self = Self { size_pt: 14.0, bold: false, ink: Ink::Ink };
    /// Cautions and notes: 9 typographic points.
    pub(super) const SMALL: Self = Self { size_pt: 12.0, bold: false, ink: Ink::Ink };
    /// Names of figures.
    pub(super) const NAME: Self = Self { size_pt: 12.0, bold: false, ink: Ink::Faint };

    /// From one base line to the next, mm.
    pub(super) fn step_mm(self) -> f64 {
        f64::from(self.size_pt) * PT_MM * 1.28
    }
    /// From the top of a line to its base line, mm.
    pub(super) fn down_mm(self) -> f64 {
        f64::from(self.size_pt) * PT_MM * 0.98
    }
    fn fits(self, words: &str, width_mm: f64) -> bool {
        text::width_pt(words, self.size_pt, self.bold) * PT_MM <= width_mm
    }
    /// The text on one line, cut where it is too long.
    pub(super) fn fitted(self, words: &str, width_mm: f64) -> String {
        text::fitted(words, self.size_pt, self.bold, width_mm / PT_MM)
    }
    /// A line of text whose top left corner is at `at`.
    pub(super) fn line(self, at: Point, words: String) -> Mark {
        self.anchored(at, Anchor::Start, words)
    }
    /// A line of text whose top lies at `at`.
    pub(super) fn anchored(self, at: Point, anchor: Anchor, words: String) -> Mark {
        let at = at - Point::new(0.0, self.down_mm());
        Mark::Text { at, anchor, text: words, size_pt: self.size_pt, bold: self.bold, ink: self.ink }
    }
    /// The text in lines of a width, broken between words, and within a word that is too long by itself. Of more than `most` lines the last
    /// ends with "…".
    pub(super) fn lines(self, words: &str, width_mm: f64, most: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in words.split_whitespace() {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.fits(&longer, width_mm) {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                line.push(c);
                if !self.fits(&line, width_mm) && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, c.to_string()));
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        if lines.len() > most {
            let rest = lines[most.saturating_sub(1)..].join(" ");
            lines.truncate(most.saturating_sub(1));
            if most > 0 {
                lines.push(self.fitted(&rest, width_mm));
            }
        }
        lines
    }
    /// Lines under one another, the top left corner of the first at the origin; and their height, mm.
    pub(super) fn block(self, lines: Vec<String>) -> (Vec<Mark>, f64) {
        let step = self.step_mm();
        let height = step * lines.len() as f64;
        let at = |i: usize| Point::new(0.0, -step * i as f64);
        (lines.into_iter().enumerate().map(|(i, l)| self.line(at(i), l)).collect(), height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_broken_between_words_and_never_lost() {
        let text = "Alcohol for cleaning beds is highly flammable: keep it off a hot bed.";
        let lines = Face::BODY.lines(text, 40.0, 99);
        assert!(lines.len() > 2 && lines.iter().all(|l| Face::BODY.fits(l, 40.0)), "{lines:?}");
        assert_eq!(lines.join(" "), text);
        let long = Face::BODY.lines(&"x".repeat(90), 40.0, 99);
        assert_eq!(long.concat().len(), 90);
        let cut = Face::BODY.lines(text, 40.0, 2);
        assert!(cut.len() == 2 && cut[1].ends_with('…'), "{cut:?}");
        assert!(Face::BODY.lines("", 40.0, 3).is_empty());
    }
}
