//! The parts list: what the letters on the drawing stand for.

use std::sync::Arc;

use super::{Anchor, Dash, FILL_OPACITY, Ink, Mark, Scene, scene::PT_MM, text};
use crate::geom::{Bounds, Point, Region};

/// A part on a plate.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct DrawnPart {
    /// "E".
    pub letter: String,
    /// "frame spacer".
    pub name: String,
    /// Its hue number.
    pub hue: usize,
    /// How many copies lie here.
    pub count: usize,
}

/// Letter, name and count of every part in as many columns as it takes, millimetres of paper, the lower left corner at
/// the origin. Parts that find no room are counted in the last line.
pub fn parts_list(parts: &[DrawnPart], width_mm: f64, height_mm: f64) -> Scene {
    const ROW_MM: f64 = 4.6;
    const COLUMN_MM: f64 = 43.0;
    const SIZE_PT: f32 = 9.0;
    let view = Bounds::new(Point::default(), Point::new(width_mm, height_mm));
    let mut marks = Vec::new();
    let rows = (height_mm / ROW_MM).floor().max(0.0) as usize;
    let columns = (width_mm / COLUMN_MM).floor().max(0.0) as usize;
    let room = rows * columns;
    let shown = if parts.len() > room { room.saturating_sub(1) } else { parts.len() };
    let line =
        |at: Point, anchor, text: String, bold, ink| Mark::Text { at, anchor, text, size_pt: SIZE_PT, bold, ink };
    let place = |i: usize| {
        let (column, row) = (i / rows.max(1), i % rows.max(1));
        Point::new(3.0 + column as f64 * COLUMN_MM, height_mm - ROW_MM * (row as f64 + 0.5))
    };
    for (i, part) in parts.iter().take(shown).enumerate() {
        let at = place(i);
        let patch = Arc::new(Region::rectangle(Bounds::new(at - Point::new(0.0, 1.6), at + Point::new(5.0, 1.6))));
        marks.push(Mark::Fill { region: patch.clone(), ink: Ink::Part(part.hue), opacity: FILL_OPACITY });
        let ink = Ink::PartLine(part.hue);
        marks.push(Mark::Outline { region: patch, ink, width_pt: 0.8, dash: Dash::Solid });
        marks.push(line(at + Point::new(2.5, 0.0), Anchor::Centre, part.letter.clone(), true, Ink::Ink));
        let base = at - Point::new(0.0, 0.85);
        let name = text::fitted(&part.name, SIZE_PT, false, (COLUMN_MM - 16.0) / PT_MM);
        marks.push(line(base + Point::new(6.5, 0.0), Anchor::Start, name, false, Ink::Ink));
        let count = format!("× {}", part.count);
        marks.push(line(base + Point::new(COLUMN_MM - 4.0, 0.0), Anchor::End, count, false, Ink::Ink));
    }
    if shown < parts.len() && room > 0 {
        let copies: usize = parts[shown..].iter().map(|p| p.count).sum();
        let more = format!("{} more parts × {copies}", parts.len() - shown);
        marks.push(line(place(shown) - Point::new(0.0, 0.85), Anchor::Start, more, false, Ink::Faint));
    }
    Scene { view, marks }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(n: usize) -> Vec<String> {
        let part = |i: usize| DrawnPart { letter: format!("P{i}"), name: "peg".into(), hue: i, count: 2 };
        let parts: Vec<DrawnPart> = (0..n).map(part).collect();
        let marks = parts_list(&parts, 87.0, 20.0).marks;
        marks.into_iter().filter_map(|m| if let Mark::Text { text, .. } = m { Some(text) } else { None }).collect()
    }

    #[test]
    fn all_parts_are_listed_or_counted() {
        assert!(texts(0).is_empty());
        assert_eq!(texts(8).len(), 24);
        let many = texts(11);
        assert_eq!(many.last().map(String::as_str), Some("4 more parts × 8"));
        assert_eq!(many.len(), 22);
        assert!(parts_list(&[DrawnPart::default()], 1.0, 1.0).marks.is_empty());
    }
}
