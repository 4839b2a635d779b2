//! Copies dragged onto the docket.

use egui::Pos2;

use super::Gesture;
use crate::{document::PlateId, gui::view::View, session::Session};

/// A line of the docket onto which copies can be let go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Onto {
    /// A plate's.
    Plate(PlateId),
    /// The one for a new plate.
    New,
}

/// The line of the docket under the pointer onto which what is dragged can be let go.
pub(crate) fn docket_target(view: &View, session: &Session, at: Pos2) -> Option<Onto> {
    if !matches!(view.gesture, Gesture::Move { .. }) {
        return None;
    }
    let line = view.docket_lines.iter().find(|(_, rect)| rect.contains(at))?.0;
    match line {
        Some(plate) => (session.plate_id() != Some(plate)).then_some(Onto::Plate(plate)),
        None => Some(Onto::New),
    }
}
