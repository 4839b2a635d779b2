//! What is going on under the hand.

use egui::Ui;

use super::hand::landing;
use crate::{
    geom::{Bounds, Point},
    session::Landing,
};

/// What is going on.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) enum Gesture {
    /// Nothing.
    #[default]
    None,
    /// The drawing follows the hand.
    Pan,
    /// What is selected follows the hand.
    Move {
        /// Where the hand took hold, mm.
        from: Point,
        /// How far it came, mm.
        by: Point,
    },
    /// What is selected turns with the hand.
    Turn {
        /// The middle, mm.
        centre: Point,
        /// Where the hand took hold, radians.
        from_rad: f64,
        /// How far it came, degrees.
        by_deg: f64,
    },
    /// A box drawn round copies to select.
    Marquee {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A box drawn round an area to top up.
    Area {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A box is drawn for a keep-out.
    KeepOutBox {
        /// One corner, mm.
        from: Point,
        /// The other, mm.
        to: Point,
    },
    /// A keep-out follows the hand.
    KeepOut {
        /// Which of its machine's, from 0.
        index: usize,
        /// Where the hand took hold, mm.
        from: Point,
        /// How far it came, mm.
        by: Point,
    },
    /// Arrow keys are held down.
    Nudge {
        /// How far, mm.
        by: Point,
    },
}

impl Gesture {
    /// Does it hold a change of the job open?
    pub(super) fn holds_job(self) -> bool {
        matches!(self, Self::Move { .. } | Self::Turn { .. } | Self::Nudge { .. })
    }
    /// What to write beside the pointer meanwhile.
    pub(super) fn words(self, ui: &Ui) -> Option<String> {
        match self {
            Self::Move { by, .. } => {
                let ends = match landing(ui) {
                    Landing::There => "",
                    Landing::NearestFree => ", then to the nearest free place",
                    Landing::PushAside => ", and others make room",
                };
                Some(format!("X {:+.1}, Y {:+.1} mm{ends}", by.x, by.y))
            }
            Self::KeepOut { by, .. } => Some(format!("keep-out X {:+.1}, Y {:+.1} mm", by.x, by.y)),
            Self::KeepOutBox { from, to } => {
                let size = Bounds::of([from, to]);
                Some(format!("keep-out {:.1} × {:.1} mm", size.width(), size.height()))
            }
            Self::Nudge { by } => Some(format!("X {:+.1}, Y {:+.1} mm", by.x, by.y)),
            Self::Turn { by_deg, .. } => Some(format!("turn {by_deg:+.1}°")),
            Self::Area { from, to } => {
                let size = Bounds::of([from, to]);
                Some(format!("top up {:.1} × {:.1} mm", size.width(), size.height()))
            }
            _ => None,
        }
    }
}
