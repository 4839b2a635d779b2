//! The keys of each action.

use crate::session::{Action, Ask, Scope, TopUp};

impl Action {
    /// Its keys, "Ctrl+Z"; empty where it has none. `Ctrl` stands for the platform's command key.
    pub fn shortcut(&self) -> &'static str {
        match self {
            Self::New => "Ctrl+N",
            Self::Ask(Ask::Open) => "Ctrl+O",
            Self::Save => "Ctrl+S",
            Self::Ask(Ask::SaveAs) => "Ctrl+Shift+S",
            Self::Ask(Ask::Export) => "Ctrl+E",
            Self::Ask(Ask::AddParts) => "Ctrl+I",
            Self::Quit => "Ctrl+Q",
            Self::Undo => "Ctrl+Z",
            Self::Redo => "Ctrl+Shift+Z",
            Self::SelectAll => "Ctrl+A",
            Self::SelectNone => "Escape",
            Self::Delete => "Delete",
            Self::Duplicate => "Ctrl+D",
            Self::Turn(d) if *d > 0.0 => "R",
            Self::Turn(_) => "Shift+R",
            Self::Lock(true) => "L",
            Self::Lock(false) => "Shift+L",
            Self::NewPlate => "Ctrl+Shift+N",
            Self::Pack(Scope::Plate) => "P",
            Self::Pack(Scope::Order) => "Shift+P",
            Self::TopUp(TopUp::Order) => "T",
            Self::Deal => "Shift+D",
            Self::Take => "Enter",
            Self::ShowHeight(None) => "H",
            _ => "",
        }
    }
}
