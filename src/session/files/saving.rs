//! Saving.

use std::path::{Path, PathBuf};

use crate::{
    document::file,
    session::{
        Ask, Replacing, SaveDoubt, Session, SessionError,
        files::{
            on_disk::Consent,
            paths::{absolute, relative, with_ending},
        },
    },
    work::sha256_hex,
};

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
    pub(in crate::session) fn doubt(&self, path: &Path, consent: Consent) -> Option<SaveDoubt> {
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
    pub(in crate::session) fn save_to(&mut self, path: &Path, consent: Consent) -> Result<(), SessionError> {
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
            self.on_disk.replacing = Some(Replacing { path, why, plan: None });
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
        self.look_for_mesh_files();
        Ok(())
    }

    /// Saves over what was asked about.
    pub(in crate::session) fn overwrite(&mut self) -> Result<(), SessionError> {
        match self.on_disk.replacing.take() {
            Some(Replacing { path, plan: Some(file), .. }) => self.save_timeline(file, &path, Consent::Any),
            Some(r) => self.save_to(&r.path, Consent::Any),
            None => Err(SessionError::Other("there is nothing to overwrite".into())),
        }
    }

    /// Saves beside what was asked about, under a name that is free.
    pub(in crate::session) fn save_copy(&mut self) -> Result<(), SessionError> {
        let asked = self.on_disk.replacing.take();
        let plan = asked.as_ref().and_then(|r| r.plan);
        let beside = asked.map(|r| r.path).or_else(|| self.path.clone());
        let beside = beside.ok_or_else(|| SessionError::Other("this job has no file yet: save it first".into()))?;
        let stem = beside.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let stem = &stem[..stem.floor_char_boundary(MOST_STEM_BYTES)];
        let name = |n: u32| if n == 1 { format!("{stem} copy") } else { format!("{stem} copy {n}") };
        let ended = |p: PathBuf| plan.map_or_else(|| with_ending(&p), |file| file.with_ending(&p));
        let free = (1..1000).map(|n| ended(beside.with_file_name(name(n)))).find(|p| !self.world.exists(p));
        let free =
            free.ok_or_else(|| SessionError::Other("there are too many copies: save under a new name".into()))?;
        if let Some(file) = plan {
            return self.save_timeline(file, &free, Consent::Own);
        }
        self.save_to(&free, Consent::Own)?;
        self.tell(format!("saved as {}", free.display()));
        Ok(())
    }

    /// Saves to where the job came from; asks where there is no such place.
    pub(in crate::session) fn save(&mut self) -> Result<(), SessionError> {
        if let Some(path) = self.path.clone() {
            return self.save_to(&path, Consent::Own);
        }
        self.asked = Some(Ask::SaveAs);
        Ok(())
    }
}

/// A job file in a folder, as an example.
fn like_in(folder: &Path) -> PathBuf {
    folder.join(format!("plates.{}", file::JOB_ENDING))
}
