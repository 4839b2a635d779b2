//! What pages are made of.

use crate::drawing::Figure;

/// Something under one head.
#[derive(Debug)]
pub(super) struct Section {
    pub(super) head: &'static str,
    pub(super) blocks: &'static [Block],
}

/// A piece of a section.
#[derive(Debug)]
pub(super) enum Block {
    /// A paragraph.
    Text(&'static str),
    /// What to do, in this order: a word in bold, and what it is.
    Steps(&'static [(&'static str, &'static str)]),
    /// Things side by side: a word in bold, and what it is.
    Terms(&'static [(&'static str, &'static str)]),
    /// A drawing.
    Drawing(Figure),
    /// Keys.
    Keys(Keys),
}

/// Which keys are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Keys {
    /// Those of menus.
    Menus,
    /// Those of menus that are about what lies on the sheet.
    Sheet,
    /// Those in no menu, of the place with this name.
    ByHand(Place),
}

/// Where keys that are in no menu mean something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// In the whole window.
    Window,
    /// On the sheet.
    Sheet,
    /// On the height strip.
    Strip,
    /// On the timeline.
    Timeline,
}
