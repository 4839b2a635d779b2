//! Questions for files, asked with the system's own dialogs off the window's thread.

use std::{
    path::{Path, PathBuf},
    sync::mpsc::{Receiver, TryRecvError, channel},
    time::{Duration, Instant},
};

use crate::session::{Ask, CODE_ENDINGS, TimelineFile};

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
            Ask::Timeline(file) => {
                one(dialog.add_filter(file.words(), &[file.ending()]).set_file_name(&question.name).save_file())
            }
            Ask::AddParts => dialog.add_filter("Meshes", &MESH_KINDS).pick_files().unwrap_or_default(),
            Ask::Export | Ask::ExportPlate(_) | Ask::GaugeFolder => one(dialog.pick_folder()),
            Ask::RunSheet(_) => one(dialog.add_filter("PDF", &["pdf"]).set_file_name(&question.name).save_file()),
            Ask::Gauge => one(dialog.add_filter("Machine code", &CODE_ENDINGS).pick_file()),
            Ask::ReplaceMesh(_) | Ask::LocateMesh(_) => one(dialog.add_filter("Meshes", &MESH_KINDS).pick_file()),
            Ask::ReadTally => one(dialog.add_filter("Tables", &["csv"]).pick_file()),
            Ask::WriteTally => one(dialog.add_filter("Tables", &["csv"]).set_file_name("tally.csv").save_file()),
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
            Ask::Timeline(TimelineFile::Calendar) => "Save plan as calendar",
            Ask::Timeline(TimelineFile::Table) => "Save plan as table",
            Ask::AddParts => "Add parts",
            Ask::Export => "Hand over into folder",
            Ask::ExportPlate(_) => "Hand over this plate into folder",
            Ask::RunSheet(_) => "Print run sheet into a PDF",
            Ask::ReplaceMesh(_) => "Revised mesh",
            Ask::LocateMesh(_) => "Where is this mesh?",
            Ask::Gauge => "Gauge a machine-code file",
            Ask::GaugeFolder => "Gauge a folder of machine code",
            Ask::ReadTally => "Read tally from a table",
            Ask::WriteTally => "Write tally as a table",
            Ask::Replace => "Overwrite this file?",
            Ask::HandOverFaulty => "Hand over anyway?",
        }
    }
}

/// A question that is being asked.
pub(super) struct Asking {
    question: Question,
    answer: Receiver<Answer>,
    /// The window gave the focus away meanwhile, as it does when a dialog comes up over it.
    lost_focus: bool,
    /// What was typed for it while it did not show yet.
    typed: String,
}

/// Paths, and how long the dialog was there.
struct Answer {
    paths: Vec<PathBuf>,
    /// Measured on the dialog's own thread: the window may look for the answer any time later.
    shown_for: Duration,
}

/// What came of a question.
#[derive(Debug, PartialEq)]
pub(super) enum Reply {
    /// Not answered yet.
    Waiting,
    /// These paths.
    Paths(Question, Vec<PathBuf>),
    /// The person thought better of it.
    Nothing,
    /// No dialog could be shown on this machine: ask in the window. And what was typed for it meanwhile.
    NoDialog(Question, String),
}

/// A dialog that is gone so soon was never seen.
const TOO_SOON: Duration = Duration::from_millis(350);

impl Asking {
    /// Asks on a thread of its own; `wake` is called when the answer is there.
    pub(super) fn begin(
        picker: std::sync::Arc<dyn Picker>,
        question: Question,
        typed: String,
        wake: impl FnOnce() + Send + 'static,
    ) -> std::io::Result<Self> {
        let (tell, answer) = channel();
        let asked = question.clone();
        std::thread::Builder::new().name("file dialog".into()).spawn(move || {
            let since = Instant::now();
            let paths = picker.pick(&asked);
            // Nobody may listen any more when the answer comes.
            let _ = tell.send(Answer { paths, shown_for: since.elapsed() });
            wake();
        })?;
        Ok(Self { question, answer, lost_focus: false, typed })
    }
    /// Looks for an answer; `focused` says whether the window has the keyboard now, `typed` what was typed into it.
    pub(super) fn poll(&mut self, focused: bool, typed: &str) -> Reply {
        self.lost_focus |= !focused;
        self.typed.push_str(typed);
        let mut no_dialog = || Reply::NoDialog(self.question.clone(), std::mem::take(&mut self.typed));
        let answer = match self.answer.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return Reply::Waiting,
            Err(TryRecvError::Disconnected) => return no_dialog(),
        };
        if !answer.paths.is_empty() {
            return Reply::Paths(self.question.clone(), answer.paths);
        }
        // The system's dialogs say the same where nothing was picked and where nothing could be shown. One that a
        // person closed was there for a while and had the keyboard.
        if answer.shown_for < TOO_SOON || !self.lost_focus { no_dialog() } else { Reply::Nothing }
    }
}

/// A job's path with its ending, whatever was typed.
pub(super) fn with_ending(path: &Path) -> PathBuf {
    ended(path, "stonehand")
}

/// A run sheet's path with its ending, whatever was typed.
pub(super) fn with_pdf(path: &Path) -> PathBuf {
    ended(path, "pdf")
}

fn ended(path: &Path, ending: &str) -> PathBuf {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending)) {
        path.to_owned()
    } else {
        let mut name = path.as_os_str().to_owned();
        name.push(".");
        name.push(ending);
        name.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A dialog that ends after a while, with nothing picked.
    struct Ends(Duration);

    impl Picker for Ends {
        fn pick(&self, _: &Question) -> Vec<PathBuf> {
            std::thread::sleep(self.0);
            Vec::new()
        }
    }

    /// What is seen of a dialog that ends after `after`, by a window that looks `late`.
    fn seen(after: Duration, late: Duration, focused: bool) -> Reply {
        let (wake, woken) = channel();
        let question = Question { ask: Ask::Open, folder: None, name: String::new() };
        let begun = Asking::begin(std::sync::Arc::new(Ends(after)), question, "a".into(), move || {
            let _ = wake.send(());
        });
        let mut asking = begun.expect("a thread");
        assert_eq!(asking.poll(focused, "b"), Reply::Waiting);
        woken.recv().expect("it ends");
        std::thread::sleep(late);
        asking.poll(true, "c")
    }

    #[test]
    fn a_dialog_that_never_came_up_is_known_however_late_the_window_looks() {
        let none = Duration::ZERO;
        let typed = |reply: Reply| if let Reply::NoDialog(_, typed) = reply { Some(typed) } else { None };
        assert_eq!(typed(seen(Duration::from_millis(20), TOO_SOON * 2, true)).as_deref(), Some("abc"));
        assert_eq!(typed(seen(Duration::from_millis(20), TOO_SOON * 2, false)).as_deref(), Some("abc"));
        // It took its time to fail, and the window kept the keyboard all the while.
        assert_eq!(typed(seen(TOO_SOON * 2, none, true)).as_deref(), Some("abc"));
        assert_eq!(seen(TOO_SOON * 2, none, false), Reply::Nothing);
    }

    #[test]
    fn jobs_get_their_ending() {
        assert_eq!(with_ending(Path::new("a/hive")), Path::new("a/hive.stonehand"));
        assert_eq!(with_ending(Path::new("a/hive.stonehand")), Path::new("a/hive.stonehand"));
        assert_eq!(with_ending(Path::new("a/v1.2")), Path::new("a/v1.2.stonehand"));
    }
}
