//! Plain strokes, fills and text.

use std::sync::Arc;

use crate::geom::{Bounds, Point, Region};

/// One screen point on paper, mm: 1/96 inch.
pub const PT_MM: f64 = 25.4 / 96.0;

/// What a colour means; a palette gives it a value for the light and the dark theme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// The sheet itself.
    Paper,
    /// The bed's surface.
    Bed,
    /// Main lines and text.
    Ink,
    /// Secondary lines and text.
    Faint,
    /// Grid lines.
    Grid,
    /// The one accent: selection, links, the height cursor.
    Accent,
    /// A *stop* finding.
    Stop,
    /// A *watch* finding.
    Watch,
    /// Fill of the part with this hue number (any number; hues repeat).
    Part(usize),
    /// Line of the part with this hue number.
    PartLine(usize),
}

/// Line patterns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Solid,
    /// Dots: bed edge margin, layer short of cooling.
    Dotted,
    /// Dashes.
    Dashed,
    /// Dash and dot: rings.
    DashDot,
}

impl Dash {
    /// Lengths of strokes and spaces in turn, screen points; empty for an unbroken line. Ends are butt.
    pub fn pattern_pt(self) -> &'static [f32] {
        match self {
            Self::Solid => &[],
            Self::Dotted => &[1.5, 3.0],
            Self::Dashed => &[6.0, 3.5],
            Self::DashDot => &[8.0, 3.0, 1.5, 3.0],
        }
    }
}

/// Area patterns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hatch {
    /// One direction: keep-outs.
    Single,
    /// Two directions: conflicts.
    Cross,
    /// Dots: short of cooling.
    Dots,
}

/// Where a text's point lies on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// At its left end, on the base line.
    #[default]
    Start,
    /// In its middle, on the base line.
    Middle,
    /// At its right end, on the base line.
    End,
    /// In its middle, half way up its capitals.
    Centre,
}

/// One thing drawn. Millimetres of the scene; y points up.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A filled region.
    Fill {
        /// What.
        region: Arc<Region>,
        /// In which ink.
        ink: Ink,
        /// 0 (nothing) to 1 (all of the ink).
        opacity: f32,
    },
    /// A line round every loop of a region.
    Outline {
        /// What.
        region: Arc<Region>,
        /// In which ink.
        ink: Ink,
        /// Width in screen points (paper: 1/96 inch), whatever the zoom.
        width_pt: f32,
        /// Pattern.
        dash: Dash,
    },
    /// A line through points.
    Stroke {
        /// The points.
        points: Vec<Point>,
        /// The last point is joined to the first.
        closed: bool,
        /// In which ink.
        ink: Ink,
        /// Width in screen points (paper: 1/96 inch), whatever the zoom.
        width_pt: f32,
        /// Pattern.
        dash: Dash,
    },
    /// A patterned region.
    Pattern {
        /// What.
        region: Arc<Region>,
        /// Pattern.
        hatch: Hatch,
        /// In which ink.
        ink: Ink,
    },
    /// A line of text.
    Text {
        /// Where.
        at: Point,
        /// Which point of it.
        anchor: Anchor,
        /// The text.
        text: String,
        /// Height of the letters in screen points, whatever the zoom.
        size_pt: f32,
        /// Bold or regular.
        bold: bool,
        /// In which ink.
        ink: Ink,
    },
}

/// A drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// What part of the plane it shows, mm.
    pub view: Bounds,
    /// Back to front.
    pub marks: Vec<Mark>,
}

impl Mark {
    /// The mark with its geometry sent through `scale` (about the origin), then `by`. Widths and letters stay.
    #[must_use]
    pub fn moved(self, scale: f64, by: Point) -> Self {
        let point = |p: Point| p * scale + by;
        let area = |r: &Region| Arc::new(r.map(point));
        match self {
            Self::Fill { region, ink, opacity } => Self::Fill { region: area(&region), ink, opacity },
            Self::Outline { region, ink, width_pt, dash } => {
                Self::Outline { region: area(&region), ink, width_pt, dash }
            }
            Self::Pattern { region, hatch, ink } => Self::Pattern { region: area(&region), hatch, ink },
            Self::Stroke { points, closed, ink, width_pt, dash } => {
                Self::Stroke { points: points.into_iter().map(point).collect(), closed, ink, width_pt, dash }
            }
            Self::Text { at, anchor, text, size_pt, bold, ink } => {
                Self::Text { at: point(at), anchor, text, size_pt, bold, ink }
            }
        }
    }
    /// An unbroken straight line.
    pub fn line(a: Point, b: Point, ink: Ink, width_pt: f32) -> Self {
        Self::Stroke { points: vec![a, b], closed: false, ink, width_pt, dash: Dash::Solid }
    }
}

impl Scene {
    /// Every mark of `other` after [`Mark::moved`], in front of what is here.
    pub fn add(&mut self, other: Self, scale: f64, by: Point) {
        self.marks.extend(other.marks.into_iter().map(|m| m.moved(scale, by)));
    }
}
