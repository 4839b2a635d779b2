//! Machine-code files measured: one, or a folder one after another.

use std::{
    collections::VecDeque,
    path::{Path, PathBuf},
    sync::Arc,
};

use crate::{
    estimate::gauge::{Basis, Measured},
    session::{GaugedFolder, Gauging, Session, SessionError, code_files, no_code_in, refusal},
    work::{Answer, Request, Source, Ticket},
};

impl Session {
    /// Begins to measure a file, in place of the one before.
    pub(in crate::session) fn gauge(&mut self, path: &Path) -> Result<(), SessionError> {
        let basis = self.gauge_basis(self.plate(), None)?;
        let ticket = self.begin_measuring(path, basis)?;
        self.gauging = Some(Gauging::begun(ticket, path.to_path_buf(), self.plate));
        Ok(())
    }

    /// Opens a file and has it measured.
    fn begin_measuring(&mut self, path: &Path, basis: Basis) -> Result<Ticket, SessionError> {
        let (file, size) =
            self.world.stream(path).map_err(|why| SessionError::Read { path: path.to_path_buf(), why })?;
        Ok(self.runner.submit(Request::Gauge { source: Source(file), size, basis: Box::new(basis) }, 0))
    }

    /// Puts the measurement away, or ends it, for another job.
    pub(in crate::session) fn end_gauge(&mut self) {
        if let Some(g) = self.gauging.take() {
            g.ticket.cancel();
        }
    }

    /// Takes in what was measured.
    pub(in crate::session) fn take_measured(&mut self, answer: Option<Answer>) {
        // What was ended and kept as it was takes nothing in any more.
        let Some(mut g) = self.gauging.take_if(|g| g.measured.is_none()) else { return };
        let outcome = match answer {
            Some(Answer::Measured(Ok(m))) => Ok(m),
            Some(Answer::Measured(Err(why))) => Err(refusal(&g.path.display().to_string(), &why)),
            Some(Answer::Failed(why)) => Err(format!("a fault of this program: {why}; report it")),
            _ => return,
        };
        if g.folder.is_some() {
            self.go_through(g, outcome);
            return;
        }
        match outcome {
            Ok(m) => {
                g.measured = Some(m);
                self.gauging = Some(g);
            }
            Err(why) => self.tell_fault(why),
        }
    }

    /// Begins to measure all machine-code files of a folder, in place of what was measured before.
    pub(in crate::session) fn gauge_folder(&mut self, path: &Path) -> Result<(), SessionError> {
        let basis = self.gauge_basis(self.plate(), None)?;
        let waiting: VecDeque<PathBuf> = code_files(self.world.as_ref(), path).into();
        if waiting.is_empty() {
            return Err(SessionError::Other(no_code_in(path)));
        }
        let (files, refused, count) = (Vec::new(), Vec::new(), waiting.len());
        let mut folder = GaugedFolder { path: path.to_path_buf(), files, refused, count, waiting, basis };
        let Some((ticket, first)) = self.next_of(&mut folder) else {
            return Err(SessionError::Other(folder.nothing()));
        };
        self.gauging = Some(Gauging { folder: Some(folder), ..Gauging::begun(ticket, first, self.plate) });
        Ok(())
    }

    /// Begins to measure the next file of a folder that can be opened.
    fn next_of(&mut self, folder: &mut GaugedFolder) -> Option<(Ticket, PathBuf)> {
        while let Some(path) = folder.waiting.pop_front() {
            match self.begin_measuring(&path, folder.basis.clone()) {
                Ok(ticket) => return Some((ticket, path)),
                Err(why) => folder.refused.push(why.to_string()),
            }
        }
        None
    }

    /// Takes in a file of the folder at hand and goes on to the next one; after the last, the shortest is shown.
    fn go_through(&mut self, mut g: Gauging, outcome: Result<Arc<Measured>, String>) {
        let Some(folder) = &mut g.folder else { return };
        folder.take(g.path.clone(), outcome);
        if let Some((ticket, path)) = self.next_of(folder) {
            (g.ticket, g.path, g.done) = (ticket, path, 0.0);
        } else if folder.files.is_empty() {
            let why = folder.nothing();
            self.tell_fault(why);
            return;
        } else {
            g.show(0);
        }
        self.gauging = Some(g);
    }

    /// Puts the measurement away, or ends it; of a folder that is being measured, what is listed so far stays.
    pub(in crate::session) fn stop_gauge(&mut self) {
        let Some(mut g) = self.gauging.take() else { return };
        g.ticket.cancel();
        let listed = g.folder.as_mut().filter(|f| !f.files.is_empty());
        if let Some(folder) = listed.filter(|_| g.measured.is_none()) {
            folder.stop();
            g.show(0);
            self.gauging = Some(g);
        }
    }

    /// Holds another file of the folder against the plate, by its place in the list.
    pub(in crate::session) fn show_gauged(&mut self, index: usize) -> Result<(), SessionError> {
        let listed = self.gauging.as_mut().filter(|g| g.measured.is_some());
        if listed.is_some_and(|g| g.show(index)) {
            Ok(())
        } else {
            Err(SessionError::Other("there is no such file in the list".into()))
        }
    }
}
