//! A machine-code file that is measured or was.

use std::{path::PathBuf, sync::Arc};

use crate::{
    document::PlateId,
    estimate::gauge::Measured,
    session::{GaugedFolder, files::paths::name_of},
    work::{Ticket, TicketId},
};

/// A machine-code file that is measured or was, alone or as one of a folder.
#[derive(Debug)]
pub struct Gauging {
    pub(in crate::session) ticket: Ticket,
    /// The file: of a folder the one that is being measured, and then the one that is shown.
    pub path: PathBuf,
    /// The plate it is compared with.
    pub plate: Option<PlateId>,
    /// How far the reading is, 0 to 1.
    pub done: f64,
    /// What was measured, once it is; of a folder once all is done.
    pub measured: Option<Arc<Measured>>,
    /// The folder, where all its files are measured.
    pub folder: Option<GaugedFolder>,
}

impl Gauging {
    /// A file whose measurement has just begun.
    pub(super) fn begun(ticket: Ticket, path: PathBuf, plate: Option<PlateId>) -> Self {
        Self { ticket, path, plate, done: 0.0, measured: None, folder: None }
    }
    /// Tells it from others.
    pub fn id(&self) -> TicketId {
        self.ticket.id
    }
    /// "gates.gcode".
    pub fn name(&self) -> String {
        name_of(&self.path)
    }
    /// How far all of it is, 0 to 1.
    pub fn share_done(&self) -> f64 {
        match &self.folder {
            _ if self.measured.is_some() => 1.0,
            Some(f) => (f.finished() as f64 + self.done) / f.count.max(1) as f64,
            None => self.done,
        }
    }
    /// Shows a file of the folder, by its place in the list; false where there is none.
    pub(in crate::session) fn show(&mut self, index: usize) -> bool {
        let Some(file) = self.folder.as_ref().and_then(|f| f.files.get(index)) else { return false };
        (self.path, self.measured) = (file.path.clone(), Some(file.measured.clone()));
        true
    }
}
