//! Saving, and what is asked before a file that somebody may want is replaced.

use std::path::{Path, PathBuf};

use super::{
    Ask, Session, SessionError,
    files::{absolute, relative, with_ending},
};
use crate::{document::file, work::sha256_hex};

/// Why saving asks first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SaveDoubt {
    /// Somebody else has written the file since it was read here.
    Changed,
    /// The file is write-protected.
    Protected,
    /// Another file has that name.
    Taken,
}

/// A file that saving would replace, and why that is asked first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Replacing {
    /// The file.
    pub path: PathBuf,
    /// Why.
    pub why: SaveDoubt,
}

impl Replacing {
    /// What is the matter, in one sentence.
    pub fn sentence(&self) -> String {
        let path = self.path.display();
        match self.why {
            SaveDoubt::Changed => format!("{path} was changed by another window or program since it was read here."),
            SaveDoubt::Protected => format!("{path} is write-protected."),
            SaveDoubt::Taken => format!("There is already a file {path}."),
        }
    }

    /// The same where nobody can be asked, with what to do.
    pub fn refusal(&self) -> String {
        let path = self.path.display();
        match self.why {
            SaveDoubt::Changed => format!(
                "{path}: was changed by another program while this command ran; nothing was written: run the command again"
            ),
            SaveDoubt::Protected => {
                format!("{path}: is write-protected: make it writable, or name another file with -o")
            }
            SaveDoubt::Taken => format!("{path}: is there already: name another file with -o"),
        }
    }
}

/// What may be replaced without a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Consent {
    /// The job's own file as it was read, and files without which nothing is lost.
    Own,
    /// Any file that nobody has changed meanwhile: its name was chosen knowingly.
    Named,
    /// Whatever is there.
    Any,
}

/// What is known of the files that saving may replace.
#[derive(Debug, Default)]
pub(super) struct OnDisk {
    /// SHA-256 of files as they were read or written here last; `None` where there was none.
    pub(super) known: Option<(PathBuf, Option<String>)>,
    /// SHA-256 of the file that a command will write, as it was when the command began.
    noted: Option<(PathBuf, Option<String>)>,
    /// What is asked.
    pub(super) replacing: Option<Replacing>,
}

impl OnDisk {
    /// For another job; what a command will write stays noted.
    pub(super) fn begin_anew(&mut self) {
        (self.known, self.replacing) = (None, None);
    }
    /// The job's file holds these bytes.
    pub(super) fn know(&mut self, path: &Path, bytes: &[u8]) {
        self.known = Some((absolute(path), Some(sha256_hex(bytes))));
    }
    /// The job's file held what has this hash.
    pub(super) fn know_hash(&mut self, path: &Path, hash: Option<String>) {
        self.known = Some((absolute(path), hash));
    }
    /// What was in a file when it was looked at last; `None` where nobody looked.
    fn expected(&self, path: &Path) -> Option<&Option<String>> {
        let path = absolute(path);
        self.known.iter().chain(&self.noted).find(|(p, _)| *p == path).map(|(_, hash)| hash)
    }
}

/// Longest stem of a copy's name, bytes: with " copy 99" and its ending it stays below the 255 that file systems take
/// (common practice, no source).
const MOST_STEM_BYTES: usize = 200;

impl Session {
    /// The file that saving would replace, and why that is asked first: what [`Ask::Replace`] is about.
    pub fn replacing(&self) -> Option<&Replacing> {
        self.on_disk.replacing.as_ref()
    }

    /// Remembers what lies where a command will write: saving refuses where somebody changes it meanwhile.
    pub fn note_output(&mut self, path: &Path) {
        let path = with_ending(path);
        let now = self.hash_of(&path);
        self.on_disk.noted = Some((absolute(&path), now));
    }

    fn hash_of(&self, path: &Path) -> Option<String> {
        self.world.read(path).ok().map(|bytes| sha256_hex(&bytes))
    }

    /// Is there something at `path` that must not be replaced without a question?
    fn doubt(&self, path: &Path, consent: Consent) -> Option<SaveDoubt> {
        if consent == Consent::Any || !self.world.exists(path) {
            return None;
        }
        match self.on_disk.expected(path) {
            Some(was) if self.hash_of(path) != *was => return Some(SaveDoubt::Changed),
            None if consent == Consent::Own => return Some(SaveDoubt::Taken),
            _ => {}
        }
        self.world.write_protected(path).then_some(SaveDoubt::Protected)
    }

    /// Saves the job; mesh paths become relative to its new place. Where a question comes first, nothing is written and
    /// [`Ask::Replace`] is asked.
    pub(super) fn save_to(&mut self, path: &Path, consent: Consent) -> Result<(), SessionError> {
        if self.world.is_folder(path) || path.file_name().is_none() {
            let text = format!("{}: is a folder: name a job file, as in {}", path.display(), like_in(path).display());
            return Err(SessionError::Other(text));
        }
        let path = with_ending(path);
        if self.world.is_folder(&path) {
            let text = format!("{}: is a folder: choose another name for the job", path.display());
            return Err(SessionError::Other(text));
        }
        if let Some(why) = self.doubt(&path, consent) {
            self.on_disk.replacing = Some(Replacing { path, why });
            self.asked = Some(Ask::Replace);
            return Ok(());
        }
        let from = self.folder();
        let to = path.parent().map(Path::to_path_buf).unwrap_or_default();
        self.history.commit();
        let seen_from_there = |file: &str| relative(&absolute(&from.join(file)), &absolute(&to));
        let mut job = self.job().clone();
        if from != to || self.path.is_none() {
            for mesh in &mut job.meshes {
                mesh.file = seen_from_there(&mesh.file);
            }
        }
        let bytes = file::write(&job)?;
        self.world.sweep(&to);
        self.world.write(&path, &bytes).map_err(|why| SessionError::Write { path: path.clone(), why })?;
        // Only now: where nothing could be written, the job lies where it lay.
        if from != to || self.path.is_none() {
            self.history.rename_files(&seen_from_there);
        }
        self.drop_recovery();
        self.on_disk.know(&path, &bytes);
        self.on_disk.replacing = None;
        self.path = Some(path.clone());
        self.history.mark_saved();
        self.remember(&path);
        Ok(())
    }

    /// Saves over what was asked about.
    pub(super) fn overwrite(&mut self) -> Result<(), SessionError> {
        match self.on_disk.replacing.take() {
            Some(r) => self.save_to(&r.path, Consent::Any),
            None => Err(SessionError::Other("there is nothing to overwrite".into())),
        }
    }

    /// Saves beside what was asked about, under a name that is free.
    pub(super) fn save_copy(&mut self) -> Result<(), SessionError> {
        let beside = self.on_disk.replacing.take().map(|r| r.path).or_else(|| self.path.clone());
        let beside = beside.ok_or_else(|| SessionError::Other("this job has no file yet: save it first".into()))?;
        let stem = beside.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let stem = &stem[..stem.floor_char_boundary(MOST_STEM_BYTES)];
        let name = |n: u32| if n == 1 { format!("{stem} copy") } else { format!("{stem} copy {n}") };
        let free = (1..1000).map(|n| with_ending(&beside.with_file_name(name(n)))).find(|p| !self.world.exists(p));
        let free =
            free.ok_or_else(|| SessionError::Other("there are too many copies: save under a new name".into()))?;
        self.save_to(&free, Consent::Own)?;
        self.tell(format!("saved as {}", free.display()));
        Ok(())
    }
}

/// A job file in a folder, as an example.
fn like_in(folder: &Path) -> PathBuf {
    folder.join(format!("plates.{}", file::JOB_ENDING))
}
