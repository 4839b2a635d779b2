//! Which pages there are.

use super::{pages, section::Section};
use crate::gui::views::Tab;

/// A page of the guide.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Page {
    /// The way of an order.
    #[default]
    Way,
    /// The view *Sheet*.
    Sheet,
    /// The view *Studies*.
    Studies,
    /// The view *Shifts*.
    Shifts,
    /// What can burn, and who decides.
    Safety,
    /// Every key.
    Keys,
}

impl Page {
    pub(crate) const ALL: [Self; 6] = [Self::Way, Self::Sheet, Self::Studies, Self::Shifts, Self::Safety, Self::Keys];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Way => "From mesh to machine",
            Self::Sheet => "Sheet",
            Self::Studies => "Studies",
            Self::Shifts => "Shifts",
            Self::Safety => "Safety",
            Self::Keys => "Keyboard shortcuts",
        }
    }
    pub(super) fn sections(self) -> &'static [Section] {
        match self {
            Self::Way => pages::way::SECTIONS,
            Self::Sheet => pages::sheet::SECTIONS,
            Self::Studies => pages::studies::SECTIONS,
            Self::Shifts => pages::shifts::SECTIONS,
            Self::Safety => pages::safety::SECTIONS,
            Self::Keys => pages::keys::SECTIONS,
        }
    }
    /// The page about a view; before there is anything on the sheet, the way.
    pub(crate) fn about(tab: Tab, begun: bool) -> Self {
        match tab {
            Tab::Sheet if !begun => Self::Way,
            Tab::Sheet => Self::Sheet,
            Tab::Studies => Self::Studies,
            Tab::Shifts => Self::Shifts,
        }
    }
}
