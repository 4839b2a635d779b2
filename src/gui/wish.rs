//! What a person can ask for: of the session, or of the window.

use super::look::Look;
use crate::session::{Action, Scope, Session};

/// Something a person can ask for: of the session, or of the window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Wish {
    /// Of the session.
    Act(Action),
    /// Of the window.
    Look(Look),
}

impl From<Action> for Wish {
    fn from(a: Action) -> Self {
        Self::Act(a)
    }
}

impl From<Look> for Wish {
    fn from(l: Look) -> Self {
        Self::Look(l)
    }
}

impl Wish {
    pub(super) fn name(&self) -> &'static str {
        match self {
            Self::Act(a) => a.name(),
            Self::Look(l) => l.name(),
        }
    }
    pub(super) fn tooltip(&self) -> &'static str {
        match self {
            Self::Act(a) => a.tooltip(),
            Self::Look(l) => l.tooltip(),
        }
    }
    pub(super) fn shortcut(&self) -> &'static str {
        match self {
            Self::Act(a) => a.shortcut(),
            Self::Look(l) => l.shortcut(),
        }
    }
    /// Does a question or a list come up over the window?
    pub(super) fn asks(&self, session: &Session) -> bool {
        match self {
            Self::Act(Action::Save) => session.path().is_none(),
            Self::Act(a) => matches!(a, Action::Ask(_) | Action::New | Action::Open(_) | Action::Quit),
            Self::Look(l) => matches!(l, Look::RowsAndColumns | Look::Guide(_) | Look::GuideHere | Look::About),
        }
    }
    /// Is it about what lies on the sheet, and selected there? Nobody shall remove by a key what is not in sight.
    pub(super) fn is_of_the_sheet(&self) -> bool {
        match self {
            Self::Look(l) => l.is_of_the_sheet(),
            Self::Act(a) => matches!(
                a,
                Action::Delete
                    | Action::Duplicate
                    | Action::Grid { .. }
                    | Action::Align(_)
                    | Action::Turn(_)
                    | Action::Nudge(..)
                    | Action::Lock(_)
                    | Action::Footing(_)
                    | Action::ToPlate(_)
                    | Action::SelectAll
                    | Action::SelectNone
                    | Action::Pack(Scope::Selection)
                    | Action::ShowHeight(_)
            ),
        }
    }
    pub(super) fn enabled(&self, session: &Session) -> bool {
        match self {
            Self::Act(a) => a.enabled(session),
            Self::Look(l) => l.enabled(session),
        }
    }
}
