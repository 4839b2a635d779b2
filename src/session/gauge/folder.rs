//! A folder of machine-code files, listed by their time.

use std::{collections::VecDeque, path::PathBuf, sync::Arc};

use crate::{
    estimate::gauge::{Basis, Measured},
    finding::Level,
    session::files::paths::name_of,
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
    pub(super) waiting: VecDeque<PathBuf>,
    pub(super) basis: Basis,
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
    pub(in crate::session) fn take(&mut self, path: PathBuf, outcome: Result<Arc<Measured>, String>) {
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
    pub(super) fn stop(&mut self) {
        self.waiting.clear();
    }
    /// Why there is nothing to list, once all files were looked at.
    pub(in crate::session) fn nothing(&self) -> String {
        let all = self.path.display();
        let first = self.refused.first().map_or_else(String::new, |why| format!(": {why}"));
        format!("{all}: none of its machine-code files can be measured{first}")
    }
}
