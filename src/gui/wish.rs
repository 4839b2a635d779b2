//! What a person can ask for: of the session, or of the window.

use super::look::Look;
use crate::session::{Action, Session};

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
            Self::Look(l) => matches!(l, Look::RowsAndColumns | Look::Keys | Look::About),
        }
    }
    pub(super) fn enabled(&self, session: &Session) -> bool {
        match self {
            Self::Act(a) => a.enabled(session),
            Self::Look(l) => l.enabled(session),
        }
    }
}
