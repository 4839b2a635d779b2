//! Hand-over files on their way.

use std::path::PathBuf;

use crate::{
    document::PlateId,
    drawing::run_sheet::PrintPaper,
    formats::write::ModelOptions,
    session::HandOverDoubt,
    work::{HandedOver, Ticket},
};

/// What to hand over beside the usual.
#[derive(Debug, Clone, Copy, Default)]
pub struct HandOver {
    /// What goes into 3MF and STL.
    pub model: ModelOptions,
    /// What is printed on.
    pub paper: PrintPaper,
    /// This plate alone; `None` for all.
    pub only: Option<PlateId>,
}

/// Hand-over files on their way.
#[derive(Debug)]
pub struct HandingOver {
    pub(in crate::session) ticket: Ticket,
    /// Where to.
    pub folder: PathBuf,
    /// How far, 0 to 1.
    pub done: f64,
    /// What is being written: "plate 3 of 12".
    pub what: String,
}

/// Handing over, as far as the session knows.
#[derive(Debug, Default)]
pub(in crate::session) struct HandOvers {
    /// Both halves of plates that are printed twice at once, in 3MF and STL.
    pub(in crate::session) both_halves: bool,
    /// What run sheets are printed on.
    pub(in crate::session) paper: PrintPaper,
    /// Under way.
    pub(in crate::session) running: Option<HandingOver>,
    /// What is asked first.
    pub(super) doubt: Option<HandOverDoubt>,
    /// What came of the last one, for who waits for it.
    pub(super) ended: Option<Result<HandedOver, String>>,
}
