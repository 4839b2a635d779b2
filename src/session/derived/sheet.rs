//! A plate as it is drawn.

use crate::{
    document::{Job, Plate},
    drawing::{Paper, SheetFacts, SheetInput},
    session::Session,
};

impl Session {
    /// A plate's drawing, as the window and the writers draw it; `None` where its machine is missing.
    pub fn sheet_input(&self, job: &Job, plate: &Plate) -> Option<SheetInput> {
        let estimate = self.view(plate.id).and_then(|v| v.estimate.as_ref());
        let facts = SheetFacts {
            date: self.today(),
            time_s: estimate.map(|e| e.time_s),
            mass_g: estimate.map(|e| e.filament.mass_g),
            items: estimate.map(|e| e.items),
            paper: Paper::A4,
        };
        let mut input = SheetInput::of_plate(job, plate.id, self.shapes(), self.prepared(), &facts)?;
        input.title.title = self.name_for_lists();
        for copy in &mut input.copies {
            let part = job.parts.iter().find(|p| p.letter == copy.letter);
            copy.ghost = part.is_some_and(|p| self.library().loaded(&p.mesh).is_none());
        }
        Some(input)
    }

    /// The job's title, or its file's name.
    pub(in crate::session) fn name_for_lists(&self) -> String {
        match self.job().title.trim() {
            "" => self.file_name(),
            title => title.to_owned(),
        }
    }
}
