//! What can lie over the window.

use super::{guide, rows_form::RowsForm, typed_path::TypedPath};
use crate::session::{Action, Unsaved};

/// A question or a list that lies over the window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Over {
    /// There are unsaved changes; what was asked for once they are saved or given up.
    Unsaved(Action),
    /// A job was left unsaved when the program ended last.
    Recovery(Unsaved),
    /// Saving would replace a file that somebody may want.
    Replace,
    /// What is handed over has faults.
    FaultyFiles,
    /// A path, typed: there is no system dialog.
    Path(TypedPath),
    /// Rows and columns.
    Rows(RowsForm),
    /// The guide.
    Guide(guide::Open),
    /// About the program.
    About,
}
