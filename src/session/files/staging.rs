//! Files that take their places in a folder all at once, or not at all.
//!
//! They are written into `.stonehand-export.tmp/new` in the folder itself. Once all are there, those that they replace
//! move to `…/old` and they into their places, the list of them last. Where that fails half way, or the program is killed
//! meanwhile, the same is done backwards: at once, or by the next export into that folder.

use std::{
    collections::BTreeSet,
    io,
    path::{Path, PathBuf},
    sync::Arc,
};

use serde::{Deserialize, Serialize};

use crate::{
    formats::write::WriteError,
    session::{Held, SessionError, World},
    work::{Fill, OutFolder},
};

/// Names the files of an export, so that the next one can replace them.
const LIST: &str = "stonehand-export.list";

/// Where files wait.
const WAITING: &str = ".stonehand-export.tmp";

/// What an export wrote, and of which job.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Written {
    /// The job's title; its file's name where it has none.
    pub(in crate::session) job: String,
    /// Names of its files.
    pub(in crate::session) files: BTreeSet<String>,
}

impl Written {
    /// Nothing where it is no list. The first lists were names alone and said of no job.
    pub(super) fn read(bytes: &[u8]) -> Self {
        let names = || serde_json::from_slice(bytes).map(|files| Self { job: String::new(), files });
        serde_json::from_slice(bytes).or_else(|_| names()).unwrap_or_default()
    }
}

/// A folder whose files are being written.
pub(super) struct Staging {
    world: Arc<dyn World>,
    folder: PathBuf,
    /// It was made for this.
    made: bool,
    now: Written,
    earlier: Written,
    /// Nobody else writes here meanwhile.
    lock: Option<Held>,
    done: bool,
}

impl std::fmt::Debug for Staging {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Staging").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl Staging {
    /// Makes the folder ready for the files in `now`.
    ///
    /// # Errors
    /// It cannot be written, belongs to another job's export, holds a file of that name that no export wrote, or another
    /// export is being written into it.
    pub(in crate::session) fn begin(world: &Arc<dyn World>, folder: &Path, now: Written) -> Result<Self, SessionError> {
        let refuse = |text: String| Err(SessionError::Other(text));
        let made = !world.exists(folder);
        if !made && !world.is_folder(folder) {
            return refuse(format!("{}: is a file: name a folder", folder.display()));
        }
        if folder.file_name().is_none() && folder.has_root() {
            return refuse(format!("{}: is the root of the disk: name a folder in it", folder.display()));
        }
        let waiting = folder.join(WAITING);
        if !made && world.exists(&waiting) {
            let Some(_lock) = world.lock(&waiting.join("lock")).unwrap_or_default() else {
                return refuse(format!(
                    "{}: another export is being written into it: wait until that ends",
                    folder.display()
                ));
            };
            let back = back(world.as_ref(), folder);
            back.map_err(|why| SessionError::Write { path: folder.into(), why })?;
        }
        let list = world.read(&folder.join(LIST)).ok();
        let earlier = list.map_or_else(Written::default, |bytes| Written::read(&bytes));
        if !earlier.job.is_empty() && earlier.job != now.job {
            return refuse(format!(
                "{}: holds the export of another job, \"{}\": choose another folder, or empty this one",
                folder.display(),
                earlier.job
            ));
        }
        for name in now.files.difference(&earlier.files) {
            let path = folder.join(name);
            if world.exists(&path) {
                return refuse(format!(
                    "{}: is there already and was not written by an export: move it away, or choose another folder",
                    path.display()
                ));
            }
        }
        let write = |path: &Path, why| SessionError::Write { path: path.into(), why };
        let mut staging =
            Self { world: world.clone(), folder: folder.into(), made, now, earlier, lock: None, done: false };
        for below in ["new", "old"] {
            world.make_folder(&waiting.join(below)).map_err(|why| write(folder, why))?;
        }
        // Where there are no locks at all, exports go on without.
        if let Ok(lock) = world.lock(&waiting.join("lock")) {
            if lock.is_none() {
                staging.done = true;
                return refuse(format!("{}: another export is being written into it", folder.display()));
            }
            staging.lock = lock;
        }
        world.sweep(folder);
        Ok(staging)
    }

    pub(in crate::session) fn waiting(&self, below: &str) -> PathBuf {
        self.folder.join(WAITING).join(below)
    }

    fn stage(&self, name: &str, fill: &mut Fill<'_>) -> Result<(), SessionError> {
        let path = self.folder.join(name);
        let written = self.world.create(&self.waiting("new").join(name)).map_err(WriteError::from);
        let written = written.and_then(|mut out| {
            fill(&mut out)?;
            Ok(out.finish()?)
        });
        written.map_err(|why| match why.into_io() {
            Ok(why) => SessionError::Write { path, why },
            Err(why) => SessionError::Other(why.to_string()),
        })
    }

    /// Moves every file into its place, those that were there out of it.
    fn swap(&self) -> Result<(), SessionError> {
        let obsolete = self.earlier.files.difference(&self.now.files);
        // A name in a list that leads elsewhere is none of ours.
        let obsolete = obsolete.map(String::as_str).filter(|n| Path::new(n).components().count() == 1);
        let fresh = self.now.files.iter().map(String::as_str).chain([LIST]);
        for (name, comes) in obsolete.map(|n| (n, false)).chain(fresh.map(|n| (n, true))) {
            let (new, old, place) =
                (self.waiting("new").join(name), self.waiting("old").join(name), self.folder.join(name));
            let moved = || -> io::Result<()> {
                if self.world.exists(&place) {
                    if comes {
                        self.world.take_after(&new, &place);
                    }
                    self.world.rename(&place, &old)?;
                }
                if comes { self.world.rename(&new, &place) } else { Ok(()) }
            };
            moved().map_err(|why| SessionError::Write { path: place.clone(), why })?;
        }
        Ok(())
    }
}

impl OutFolder for Staging {
    fn write(&mut self, name: &str, fill: &mut Fill<'_>) -> Result<(), String> {
        self.stage(name, fill).map_err(|why| why.to_string())
    }

    fn finish(mut self: Box<Self>) -> Result<(), String> {
        let list = serde_json::to_vec_pretty(&self.now).unwrap_or_default();
        let staged = self.stage(LIST, &mut |out| Ok(out.write_all(&list)?));
        staged.and_then(|()| self.swap()).map_err(|why| {
            // What cannot be put back now is put back by the next export.
            match back(self.world.as_ref(), &self.folder) {
                Ok(()) => why.to_string(),
                Err(also) => {
                    self.done = true;
                    format!(
                        "{why}; and the earlier files could not be put back ({also}): export into {} again",
                        self.folder.display()
                    )
                }
            }
        })?;
        self.made = false;
        Ok(())
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        if self.done {
            return;
        }
        // What is left is in nobody's way, and goes with the next export.
        let _ = self.world.remove_folder(&self.folder.join(WAITING));
        if self.made && self.world.list(&self.folder).is_empty() {
            let _ = self.world.remove_folder(&self.folder);
        }
    }
}

/// Puts everything back to before a swap that ended half way, and clears what waited. Where it ends half way itself, it
/// can be done again.
fn back(world: &dyn World, folder: &Path) -> io::Result<()> {
    let (new, old) = (folder.join(WAITING).join("new"), folder.join(WAITING).join("old"));
    // The list comes last: where it does not wait any more, nothing was moved yet or everything was.
    if let Ok(list) = world.read(&new.join(LIST)) {
        for name in &Written::read(&list).files {
            let (waits, place) = (new.join(name), folder.join(name));
            if !world.exists(&waits) && world.exists(&place) {
                world.rename(&place, &waits)?;
            }
        }
        for path in world.list(&old) {
            if let Some(name) = path.file_name() {
                world.rename(&path, &folder.join(name))?;
            }
        }
    }
    world.remove_folder(&new)?;
    world.remove_folder(&old)
}
