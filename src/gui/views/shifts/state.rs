//! What the view remembers.

use super::{drag::Drag, sight::Sight};

/// What the view remembers.
#[derive(Debug, Default)]
pub(crate) struct ShiftsView {
    /// The stretch of time shown.
    pub(super) sight: Sight,
    /// The bar that is dragged.
    pub(crate) drag: Option<Drag>,
}

impl ShiftsView {
    /// Ends a drag as if it had not happened. True when there was one.
    pub(crate) fn abort(&mut self) -> bool {
        self.drag.take().is_some()
    }
}
