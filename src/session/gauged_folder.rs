//! A folder of machine-code files, measured one after another and listed by their time.

use std::{
    collections::VecDeque,
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{Gauging, Session, SessionError, World, gauging::CODE_ENDINGS, is_code};
use crate::{
    estimate::gauge::{Basis, Measured},
    finding::Level,
    work::Ticket,
};

/// A folder whose machine-code files are measured or were.
#[derive(Debug)]
pub struct GaugedFolder {
    /// The folder.
    pub path: PathBuf,
    /// What was measured so far, the shortest first.
    pub files: Vec<GaugedFile>,
    /// One sentence for each file that cannot be measured.
    pub refused: Vec<String>,
    /// How many machine-code files there are.
    pub count: usize,
    waiting: VecDeque<PathBuf>,
    basis: Basis,
}

/// A file of a folder, measured.
#[derive(Debug)]
pub struct GaugedFile {
    /// The file.
    pub path: PathBuf,
    /// What was measured.
    pub measured: Arc<Measured>,
    /// How many remarks on it say *watch*.
    pub watches: usize,
}

impl GaugedFile {
    /// "gates.gcode".
    pub fn name(&self) -> String {
        name_of(&self.path)
    }
}

impl GaugedFolder {
    /// "night".
    pub fn name(&self) -> String {
        if self.path.as_os_str().is_empty() { "the working folder".into() } else { name_of(&self.path) }
    }
    /// Files that are measured or cannot be.
    pub fn finished(&self) -> usize {
        self.files.len() + self.refused.len()
    }
    /// Takes in what came of a file.
    pub(super) fn take(&mut self, path: PathBuf, outcome: Result<Arc<Measured>, String>) {
        match outcome {
            Ok(measured) => {
                let at = self.files.partition_point(|f| f.measured.time_s() <= measured.time_s());
                let watches = measured.remarks().iter().filter(|r| r.level == Level::Watch).count();
                self.files.insert(at, GaugedFile { path, measured, watches });
            }
            Err(why) => self.refused.push(why),
        }
    }
    /// Nothing more is measured.
    fn stop(&mut self) {
        self.waiting.clear();
    }
    /// Why there is nothing to list, once all files were looked at.
    fn nothing(&self) -> String {
        let all = self.path.display();
        let first = self.refused.first().map_or_else(String::new, |why| format!(": {why}"));
        format!("{all}: none of its machine-code files can be measured{first}")
    }
}

/// The last name of a path; all of it where it has none.
pub(super) fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

/// The machine-code files of a folder, by name.
pub fn code_files(world: &dyn World, folder: &Path) -> Vec<PathBuf> {
    world.list(folder).into_iter().filter(|p| is_code(p)).collect()
}

/// One sentence on a folder without any.
pub fn no_code_in(folder: &Path) -> String {
    let endings = CODE_ENDINGS.join(", ");
    format!("{}: holds no machine-code files (looked for the endings {endings})", folder.display())
}

impl Session {
    /// Begins to measure all machine-code files of a folder, in place of what was measured before.
    pub(super) fn gauge_folder(&mut self, path: &Path) -> Result<(), SessionError> {
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
    pub(super) fn go_through(&mut self, mut g: Gauging, outcome: Result<Arc<Measured>, String>) {
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
    pub(super) fn stop_gauge(&mut self) {
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
    pub(super) fn show_gauged(&mut self, index: usize) -> Result<(), SessionError> {
        let listed = self.gauging.as_mut().filter(|g| g.measured.is_some());
        if listed.is_some_and(|g| g.show(index)) {
            Ok(())
        } else {
            Err(SessionError::Other("there is no such file in the list".into()))
        }
    }
}
