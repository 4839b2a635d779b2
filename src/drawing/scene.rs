//! Plain strokes, fills and text.

use crate::geom::{Bounds, Point, Region};

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
        region: Region,
        /// In which ink.
        ink: Ink,
        /// 0 (nothing) to 1 (all of the ink).
        opacity: f32,
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
        region: Region,
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
