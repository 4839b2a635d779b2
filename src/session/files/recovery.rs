//! Unsaved work, kept for the next run in case this one ends without a word.
//!
//! A kept job is `ID.stonehand` in the folder `unsaved` of the program's own, and opens as any job does. A window chooses
//! its id at random and holds the lock `ID.lock` for as long as it runs: what is kept and not locked was left behind.
//! Earlier versions named the file "NAME (process).stonehand".

use std::{
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use crate::{
    document::file::{self, JOB_ENDING},
    session::{
        Session, SessionError, Unsaved,
        files::{
            kept_job::{About, Note, about, lock_of, old_name, random_id, with_note},
            paths::{absolute, relative},
        },
    },
};

/// Time until work that could not be kept is tried again, where nothing changes.
const AGAIN: Duration = Duration::from_secs(30);

impl Session {
    /// Keeps the unsaved job in the program's own folder, where it has one and something has changed.
    ///
    /// Called once a tick, it writes when the last change is not kept yet; whoever ticks often calls it rarely.
    pub(in crate::session) fn keep_for_recovery(&mut self) {
        let due = self.keeping.again.is_some_and(|at| Instant::now() >= at);
        let fresh = self.keeping.revision != self.history.revision();
        if !self.keeping.recovers || self.history.in_gesture() || !(fresh || due) {
            return;
        }
        self.keeping.revision = self.history.revision();
        if !self.changed() {
            self.keeping.again = None;
            self.drop_recovery();
            return;
        }
        let Some(path) = self.recovery_path() else { return };
        match self.keep_at(&path) {
            Ok(()) => self.keeping.again = None,
            Err(why) => {
                if self.keeping.again.is_none() {
                    self.tell_fault(format!(
                        "unsaved changes cannot be kept for recovery: {why}. Save the job; keeping them is tried again"
                    ));
                }
                self.keeping.again = Some(Instant::now() + AGAIN);
            }
        }
    }

    fn keep_at(&self, path: &Path) -> Result<(), SessionError> {
        let mut job = self.job().clone();
        let folder = self.folder();
        // Paths in a kept copy are absolute: it lies in another folder than the job.
        for mesh in &mut job.meshes {
            mesh.file = absolute(&folder.join(&mesh.file)).to_string_lossy().into_owned();
        }
        let file = self.path.as_deref().map(absolute);
        let known = self.on_disk.known.as_ref().filter(|(p, _)| Some(p) == file.as_ref());
        let note = Note {
            file: file.as_deref().and_then(Path::to_str).map(str::to_owned),
            sha256: known.and_then(|(_, hash)| hash.clone()),
        };
        self.write_own(path, &with_note(&file::write(&job)?, &note))
    }

    /// Where this session keeps its work, from the first time on; `None` where there is no place.
    fn recovery_path(&mut self) -> Option<PathBuf> {
        if let Some((path, _)) = &self.keeping.kept {
            return Some(path.clone());
        }
        let folder = self.own("unsaved")?;
        // Where the folder cannot be made or locked, writing tells why.
        let _ = self.world.make_folder(&folder);
        self.world.sweep(&folder);
        let path = folder.join(format!("{}.{JOB_ENDING}", random_id()));
        let lock = self.world.lock(&lock_of(&path)).ok().flatten();
        self.keeping.kept = Some((path.clone(), lock));
        Some(path)
    }

    /// Nothing of this session is kept any more.
    pub(super) fn drop_recovery(&mut self) {
        if let Some((path, lock)) = self.keeping.kept.take() {
            // Nothing depends on them being gone: a lock that nobody holds locks nothing.
            let _ = self.world.remove(&path);
            let _ = self.world.remove(&lock_of(&path));
            drop(lock);
        }
    }

    /// Keeps unsaved work for recovery from now on (the window does; the command line does not).
    pub fn set_recovers(&mut self, on: bool) {
        self.keeping.recovers = on;
    }

    /// The person leaves, and what is not saved is not wanted: nothing is kept for recovery.
    pub fn leave(&mut self) {
        self.keeping.recovers = false;
        self.drop_recovery();
    }

    /// Jobs left unsaved by runs that ended, the newest first.
    pub fn unsaved_jobs(&self) -> Vec<Unsaved> {
        let Some(folder) = self.own("unsaved") else { return Vec::new() };
        let own = self.keeping.kept.as_ref().map(|(path, _)| path);
        let mut files = self.world.cached_files(&folder);
        files.sort_by(|a, b| (b.used, &b.path).cmp(&(a.used, &a.path)));
        let now = self.world.now();
        let mut all = Vec::new();
        for kept in files.into_iter().filter(|f| f.path.extension().is_some_and(|e| e == JOB_ENDING)) {
            // Of a job in another window that runs nothing is lost.
            if Some(&kept.path) == own || self.is_running(&kept.path) {
                continue;
            }
            let about = self.world.read(&kept.path).ok().map_or_else(About::default, |bytes| about(&bytes));
            let file = about.kept.file.as_deref().and_then(|f| Path::new(f).file_name());
            let name = match (file, about.title.trim(), old_name(&kept.path)) {
                (Some(file), ..) => file.to_string_lossy().into_owned(),
                (None, "", Some((name, _))) => name.to_owned(),
                (None, "", None) => "new job".to_owned(),
                (None, title, _) => title.to_owned(),
            };
            all.push(Unsaved { path: kept.path, name, age: now.duration_since(kept.used).ok() });
        }
        all
    }

    /// The newest of them about which nothing was decided in this run.
    pub fn next_unsaved(&self) -> Option<Unsaved> {
        self.unsaved_jobs().into_iter().find(|u| !self.keeping.decided.contains(&u.path))
    }

    /// Does the window run that keeps its work here?
    fn is_running(&self, kept: &Path) -> bool {
        match old_name(kept) {
            // Ids of processes come again: this one's own is no proof, for it names its files otherwise.
            Some((_, process)) => process != std::process::id() && self.world.runs(process),
            None => matches!(self.world.lock(&lock_of(kept)), Ok(None)),
        }
    }

    /// Recovers a job that was left unsaved: it is open as it was, in its own place, and not saved yet.
    pub(in crate::session) fn recover(&mut self, path: &Path) -> Result<(), SessionError> {
        self.keeping.decided.insert(path.to_path_buf());
        let bytes = self.read_path(path)?;
        let mut job = file::read(&bytes, &path.display().to_string())?;
        let old = old_name(path).is_some();
        let lock = if old { None } else { self.world.lock(&lock_of(path)).unwrap_or_default() };
        if !old && lock.is_none() && self.is_running(path) {
            return Err(SessionError::Other("another window has recovered this job already".into()));
        }
        let note = about(&bytes).kept;
        let place = note.file.map(PathBuf::from);
        if let Some(folder) = place.as_deref().and_then(Path::parent) {
            for mesh in &mut job.meshes {
                mesh.file = relative(&absolute(Path::new(&mesh.file)), &absolute(folder));
            }
        }
        self.load(job, place.clone());
        if let Some(place) = &place {
            self.on_disk.know_hash(place, note.sha256);
        }
        self.history.mark_unsaved();
        if !old && self.keeping.recovers {
            // It is kept there already, and now by this session.
            self.drop_recovery();
            self.keeping.kept = Some((path.to_path_buf(), lock));
            return Ok(());
        }
        // The one copy there is goes only when another is kept.
        self.keeping.revision = u64::MAX;
        self.keep_for_recovery();
        if old && self.keeping.kept.is_some() && self.keeping.again.is_none() {
            self.forget_recovery(path);
        }
        Ok(())
    }

    /// Discards a job that was left unsaved.
    pub(in crate::session) fn forget_recovery(&mut self, path: &Path) {
        self.keeping.decided.insert(path.to_path_buf());
        let inside = self.own("unsaved").is_some_and(|f| path.parent() == Some(f.as_path()));
        if !inside {
            return;
        }
        if let Err(why) = self.world.remove(path) {
            self.tell_fault(format!("{}: cannot be removed: {why}", path.display()));
        }
        let _ = self.world.remove(&lock_of(path));
    }
}
