//! Where one reads.

use super::Page;

/// The guide while it is open.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Open {
    /// The page shown while nothing is looked for.
    pub(super) page: Page,
    /// What is looked for.
    pub(super) search: String,
    /// It was just opened, or another page chosen: it begins at the top.
    pub(super) fresh: bool,
}

impl Open {
    /// The guide at a page.
    pub(crate) fn at(page: Page) -> Self {
        Self { page, search: String::new(), fresh: true }
    }
}
