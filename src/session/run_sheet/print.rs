//! One plate's run sheet as a file.

use std::path::Path;

use crate::{
    document::PlateId,
    drawing::{Palette, run_sheet::run_sheet},
    formats::write::pdf,
    session::{Session, SessionError},
};

impl Session {
    /// The run sheet of a plate as PDF, on the paper chosen for the hand-over.
    ///
    /// # Errors
    /// One sentence, where the plate or its machine is not there, or the document cannot be made.
    pub fn run_sheet_pdf(&self, plate: PlateId) -> Result<Vec<u8>, SessionError> {
        let gone = || SessionError::Other("this plate is not in the job any more".into());
        let job = self.job();
        let input = job.plate(plate).and_then(|p| self.sheet_input(job, p)).ok_or_else(gone)?;
        let given = self.run_sheet_given(plate, &self.page_head()).ok_or_else(gone)?;
        let pages = run_sheet(&given, &input, self.print_paper());
        pdf(&pages, &Palette::print()).map_err(|why| SessionError::Other(why.to_string()))
    }

    /// Writes the run sheet of a plate into a file.
    pub(in crate::session) fn print_run_sheet(&mut self, plate: PlateId, path: &Path) -> Result<(), SessionError> {
        let bytes = self.run_sheet_pdf(plate)?;
        self.world.write(path, &bytes).map_err(|why| SessionError::Write { path: path.into(), why })?;
        self.tell(format!("run sheet written to {}", path.display()));
        Ok(())
    }
}
