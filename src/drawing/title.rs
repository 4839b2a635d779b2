//! The title block, lower right, after ISO 7200.

use std::sync::Arc;

use super::{Anchor, Ink, Mark, Scene, scene::PT_MM, text};
use crate::geom::{Bounds, Point, Region};

/// Width of a title block, mm on paper. Source: ISO 7200, 180 mm.
pub const TITLE_WIDTH_MM: f64 = 180.0;
/// Height of a title block, mm on paper: two rows, and a low third where there are items of time.
pub const TITLE_HEIGHT_MM: f64 = 20.0;
/// Height of the row that lists the items of time.
const ITEMS_MM: f64 = 6.0;
/// The items of time share the width among at least so many.
const FEWEST_ITEMS: usize = 6;

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
    /// Where the time goes: "walls", "3 h 12 min". Without any the rows are higher.
    pub items: Vec<(String, String)>,
}

/// A title block as a drawing of its own, millimetres of paper, its lower left corner at the origin.
pub fn title_block(block: &TitleBlock) -> Scene {
    let view = Bounds::new(Point::default(), Point::new(TITLE_WIDTH_MM, TITLE_HEIGHT_MM));
    let frame = Arc::new(Region::rectangle(view));
    let listed = !block.items.is_empty();
    let low = if listed { ITEMS_MM } else { 0.0 };
    let row_mm = (TITLE_HEIGHT_MM - low) / 2.0;
    let across = |y: f64| Mark::line(Point::new(0.0, y), Point::new(TITLE_WIDTH_MM, y), Ink::Ink, 0.7);
    let mut marks = vec![Mark::Fill { region: frame.clone(), ink: Ink::Paper, opacity: 1.0 }, across(low + row_mm)];
    if listed {
        marks.push(across(low));
        marks.extend(item_marks(&block.items));
    }
    // Base lines below the top of a row, mm, and the size of what is said.
    let (name_down, value_down, value_pt) = if listed { (2.6, 5.9, 10.0) } else { (3.1, 7.9, 11.0) };
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
            marks.push(Mark::line(Point::new(left, low), Point::new(left, TITLE_HEIGHT_MM), Ink::Ink, 0.7));
        }
        for (row, fields) in rows.iter().enumerate() {
            let top = TITLE_HEIGHT_MM - row_mm * row as f64;
            let (name, value) = fields[column];
            let most_pt = (width - 3.0) / PT_MM;
            for (text, down, size_pt, bold, ink) in
                [(name, name_down, 7.5, false, Ink::Faint), (value, value_down, value_pt, true, Ink::Ink)]
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

/// The items of time side by side along the lower edge: name above, time below.
fn item_marks(items: &[(String, String)]) -> Vec<Mark> {
    const LEFT_MM: f64 = 1.5;
    const SIZE_PT: f32 = 7.0;
    let width = (TITLE_WIDTH_MM - LEFT_MM) / items.len().max(FEWEST_ITEMS) as f64;
    let most_pt = (width - 0.5) / PT_MM;
    let mut marks = Vec::with_capacity(2 * items.len());
    for (i, (name, time)) in items.iter().enumerate() {
        for (text, up, bold, ink) in [(name, 3.6, false, Ink::Faint), (time, 1.0, true, Ink::Ink)] {
            marks.push(Mark::Text {
                at: Point::new(LEFT_MM + width * i as f64, up),
                anchor: Anchor::Start,
                text: text::fitted(text, SIZE_PT, bold, most_pt),
                size_pt: SIZE_PT,
                bold,
                ink,
            });
        }
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a text can have ink, from a base line at its left end: a little more than Inter's ascenders, descenders and width.
    fn inked(mark: &Mark) -> Option<(Bounds, String)> {
        let Mark::Text { at, text, size_pt, bold, anchor, .. } = mark else { return None };
        assert_eq!(*anchor, Anchor::Start);
        let em = f64::from(*size_pt) * PT_MM;
        let far = *at + Point::new(text::width_pt(text, *size_pt, *bold) * PT_MM, 0.76 * em);
        Some((Bounds::new(*at - Point::new(0.0, 0.25 * em), far), text.clone()))
    }

    #[test]
    fn all_items_of_time_are_written_whole_and_apart() {
        let names = crate::estimate::Items::default().list().map(|(name, _)| name);
        for count in 1..=names.len() {
            let items = names.iter().take(count).map(|n| ((*n).to_owned(), "123 h 45 min".to_owned())).collect();
            let said = || "frame spacers, left and right".to_owned();
            let block = TitleBlock {
                title: said(),
                recipe: said(),
                time: said(),
                date: said(),
                items,
                ..TitleBlock::default()
            };
            let scene = title_block(&block);
            let texts: Vec<(Bounds, String)> = scene.marks.iter().filter_map(inked).collect();
            assert_eq!(texts.len(), 20 + 2 * count);
            let whole = |wanted: &str| texts.iter().filter(|(_, t)| t == wanted).count();
            assert_eq!(whole("123 h 45 min"), count);
            assert!(names.iter().take(count).all(|n| whole(n) > 0), "{texts:?}");
            for (i, (a, text)) in texts.iter().enumerate() {
                assert!(scene.view.contains(a.min) && scene.view.contains(a.max), "{text} leaves the block");
                for (b, other) in &texts[i + 1..] {
                    let apart = a.max.x <= b.min.x || b.max.x <= a.min.x || a.max.y <= b.min.y || b.max.y <= a.min.y;
                    assert!(apart, "{text} runs into {other}: {a:?} {b:?}");
                }
                for y in [6.0, 13.0] {
                    assert!(a.max.y <= y || a.min.y >= y, "{text} runs into the line at {y}");
                }
            }
        }
    }

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
            items: Vec::new(),
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
