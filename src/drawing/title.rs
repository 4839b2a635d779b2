//! The title block, lower right, after ISO 7200.

use std::sync::Arc;

use super::{Anchor, Ink, Mark, Scene, scene::PT_MM, text};
use crate::geom::{Bounds, Point, Region};

/// Width of a title block, mm on paper. Source: ISO 7200, 180 mm.
pub const TITLE_WIDTH_MM: f64 = 180.0;
/// Height of a title block, mm on paper: two rows.
pub const TITLE_HEIGHT_MM: f64 = 20.0;

/// What a title block says, in words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TitleBlock {
    /// The job: "Hive fittings".
    pub title: String,
    /// "1 of 3".
    pub plate: String,
    /// "Bench 2".
    pub machine: String,
    /// Material and colour: "PLA, black".
    pub material: String,
    /// "0.20 mm, 3 walls, 18 %".
    pub recipe: String,
    /// ISO 8601.
    pub date: String,
    /// "1 : 1.5".
    pub scale: String,
    /// "15 h 40 min".
    pub time: String,
    /// "412 g".
    pub mass: String,
    /// "26".
    pub copies: String,
}

/// A title block as a drawing of its own, millimetres of paper, its lower left corner at the origin.
pub fn title_block(block: &TitleBlock) -> Scene {
    let view = Bounds::new(Point::default(), Point::new(TITLE_WIDTH_MM, TITLE_HEIGHT_MM));
    let frame = Arc::new(Region::rectangle(view));
    let mut marks = vec![
        Mark::Fill { region: frame.clone(), ink: Ink::Paper, opacity: 1.0 },
        Mark::line(
            Point::new(0.0, TITLE_HEIGHT_MM / 2.0),
            Point::new(TITLE_WIDTH_MM, TITLE_HEIGHT_MM / 2.0),
            Ink::Ink,
            0.7,
        ),
    ];
    let columns = [54.0, 22.0, 38.0, 34.0, 32.0];
    let rows: [[(&str, &str); 5]; 2] = [
        [
            ("title", &block.title),
            ("plate", &block.plate),
            ("machine", &block.machine),
            ("time", &block.time),
            ("mass", &block.mass),
        ],
        [
            ("recipe", &block.recipe),
            ("scale", &block.scale),
            ("material, colour", &block.material),
            ("copies", &block.copies),
            ("date", &block.date),
        ],
    ];
    let mut left = 0.0;
    for (column, width) in columns.into_iter().enumerate() {
        if column > 0 {
            marks.push(Mark::line(Point::new(left, 0.0), Point::new(left, TITLE_HEIGHT_MM), Ink::Ink, 0.7));
        }
        for (row, fields) in rows.iter().enumerate() {
            let top = TITLE_HEIGHT_MM * (1.0 - row as f64 / 2.0);
            let (name, value) = fields[column];
            let most_pt = (width - 3.0) / PT_MM;
            for (text, down, size_pt, bold, ink) in
                [(name, 3.1, 7.5, false, Ink::Faint), (value, 7.9, 11.0, true, Ink::Ink)]
            {
                marks.push(Mark::Text {
                    at: Point::new(left + 1.5, top - down),
                    anchor: Anchor::Start,
                    text: text::fitted(text, size_pt, bold, most_pt),
                    size_pt,
                    bold,
                    ink,
                });
            }
        }
        left += width;
    }
    marks.push(Mark::Outline { region: frame, ink: Ink::Ink, width_pt: 1.4, dash: super::Dash::Solid });
    Scene { view, marks }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_is_written_inside_the_block() {
        let block = TitleBlock {
            title: "Hive fittings".into(),
            plate: "1 of 3".into(),
            machine: "Bench 2".into(),
            material: "PLA, black".into(),
            recipe: "0.20 mm, 3 walls, 18 %".into(),
            date: "2026-11-25".into(),
            scale: "1 : 1.5".into(),
            time: "15 h 40 min".into(),
            mass: "412 g".into(),
            copies: "26".into(),
        };
        let scene = title_block(&block);
        let texts: Vec<&str> = scene
            .marks
            .iter()
            .filter_map(|m| match m {
                Mark::Text { text, at, .. } => {
                    assert!(scene.view.contains(*at));
                    Some(text.as_str())
                }
                _ => None,
            })
            .collect();
        for wanted in ["Hive fittings", "1 of 3", "Bench 2", "PLA, black", "0.20 mm, 3 walls, 18 %", "15 h 40 min"] {
            assert!(texts.contains(&wanted), "{wanted} in {texts:?}");
        }
        assert_eq!(texts.len(), 20);
    }
}
