//! Questions for files, asked with the system's own dialogs off the window's thread.

use std::{
    path::{Path, PathBuf},
    sync::mpsc::{Receiver, TryRecvError, channel},
    time::{Duration, Instant},
};

use crate::session::{Ask, CODE_ENDINGS};

/// Where the paths a person picks come from. Tests put their own in its place.
pub trait Picker: Send + Sync {
    /// Asks, and waits for the answer: the paths picked, none when the person thought better of it.
    fn pick(&self, question: &Question) -> Vec<PathBuf>;
}

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// What it is for.
    pub ask: Ask,
    /// Where to begin looking.
    pub folder: Option<PathBuf>,
    /// A name to offer for a new file.
    pub name: String,
}

/// The kinds of mesh files that are read.
pub(super) const MESH_KINDS: [&str; 3] = ["stl", "obj", "3mf"];

/// The system's own dialogs.
#[derive(Debug, Default, Clone, Copy)]
pub(super) struct SystemPicker;

impl Picker for SystemPicker {
    fn pick(&self, question: &Question) -> Vec<PathBuf> {
        let mut dialog = rfd::FileDialog::new().set_title(question.title());
        if let Some(folder) = &question.folder {
            dialog = dialog.set_directory(folder);
        }
        let one = |p: Option<PathBuf>| p.into_iter().collect();
        match question.ask {
            Ask::Open => one(dialog.add_filter("Stonehand job", &["stonehand"]).pick_file()),
            Ask::SaveAs => {
                let dialog = dialog.add_filter("Stonehand job", &["stonehand"]).set_file_name(&question.name);
                one(dialog.save_file())
            }
            Ask::AddParts => dialog.add_filter("Meshes", &MESH_KINDS).pick_files().unwrap_or_default(),
            Ask::Export | Ask::GaugeFolder => one(dialog.pick_folder()),
            Ask::Gauge => one(dialog.add_filter("Machine code", &CODE_ENDINGS).pick_file()),
            Ask::ReplaceMesh(_) | Ask::LocateMesh(_) => one(dialog.add_filter("Meshes", &MESH_KINDS).pick_file()),
            // Answered in the window, by a button.
            Ask::Replace | Ask::HandOverFaulty => Vec::new(),
        }
    }
}

impl Question {
    /// What the dialog is headed with.
    pub(super) fn title(&self) -> &'static str {
        match self.ask {
            Ask::Open => "Open job",
            Ask::SaveAs => "Save job as",
            Ask::AddParts => "Add parts",
            Ask::Export => "Hand over into folder",
            Ask::ReplaceMesh(_) => "Revised mesh",
            Ask::LocateMesh(_) => "Where is this mesh?",
            Ask::Gauge => "Gauge a machine-code file",
            Ask::GaugeFolder => "Gauge a folder of machine code",
            Ask::Replace => "Overwrite this file?",
            Ask::HandOverFaulty => "Hand over all the same?",
        }
    }
}

/// A question that is being asked.
pub(super) struct Asking {
    question: Question,
    answer: Receiver<Vec<PathBuf>>,
    since: Instant,
}

/// What came of a question.
pub(super) enum Reply {
    /// Not answered yet.
    Waiting,
    /// These paths.
    Paths(Question, Vec<PathBuf>),
    /// The person thought better of it.
    Nothing,
    /// No dialog could be shown on this machine: ask in the window.
    NoDialog(Question),
}

/// A dialog that is gone so soon was never seen.
const TOO_SOON: Duration = Duration::from_millis(350);

impl Asking {
    /// Asks on a thread of its own; `wake` is called when the answer is there.
    pub(super) fn begin(
        picker: std::sync::Arc<dyn Picker>,
        question: Question,
        wake: impl FnOnce() + Send + 'static,
    ) -> std::io::Result<Self> {
        let (tell, answer) = channel();
        let asked = question.clone();
        std::thread::Builder::new().name("file dialog".into()).spawn(move || {
            // Nobody may listen any more when the answer comes.
            let _ = tell.send(picker.pick(&asked));
            wake();
        })?;
        Ok(Self { question, answer, since: Instant::now() })
    }
    /// Looks for an answer.
    pub(super) fn poll(&self) -> Reply {
        match self.answer.try_recv() {
            Ok(paths) if !paths.is_empty() => Reply::Paths(self.question.clone(), paths),
            Ok(_) if self.since.elapsed() < TOO_SOON => Reply::NoDialog(self.question.clone()),
            Ok(_) => Reply::Nothing,
            Err(TryRecvError::Empty) => Reply::Waiting,
            Err(TryRecvError::Disconnected) => Reply::NoDialog(self.question.clone()),
        }
    }
}

/// A job's path with its ending, whatever was typed.
pub(super) fn with_ending(path: &Path) -> PathBuf {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("stonehand")) {
        path.to_owned()
    } else {
        let mut name = path.as_os_str().to_owned();
        name.push(".stonehand");
        name.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jobs_get_their_ending() {
        assert_eq!(with_ending(Path::new("a/hive")), Path::new("a/hive.stonehand"));
        assert_eq!(with_ending(Path::new("a/hive.stonehand")), Path::new("a/hive.stonehand"));
        assert_eq!(with_ending(Path::new("a/v1.2")), Path::new("a/v1.2.stonehand"));
    }
}
