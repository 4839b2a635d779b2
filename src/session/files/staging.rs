//! Files that take their places in a folder all at once, or not at all.
//!
//! What is there already with the same content stays untouched. A manifest with the SHA-256 of every file goes with them.
//!
//! They are written into `.stonehand-export.tmp/new` in the folder itself. Once all are there, those that they replace
//! move to `…/old` and they into their places, the list of them last. Where that fails half way, or the program is killed
//! meanwhile, the same is done backwards: at once, or by the next export into that folder.

use std::{
    collections::{BTreeMap, BTreeSet},
    io,
    path::{Path, PathBuf},
    sync::Arc,
};

use serde::{Deserialize, Serialize};

use super::{
    hashing::{Hashing, hash_of},
    manifest::{self, MANIFEST},
};
use crate::{
    document::PlateId,
    formats::write::WriteError,
    session::{Held, SessionError, World},
    work::{Fill, HandedOver, OutFolder},
};

/// Names the files of an export, so that the next one can replace them.
const LIST: &str = "stonehand-export.list";

/// Names those of the files that wait to be moved, in the folder where they wait.
const MOVING: &str = "moving.list";

/// Where files wait.
const WAITING: &str = ".stonehand-export.tmp";

/// What an export wrote, and of which job.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Written {
    /// The job's title; its file's name where it has none.
    pub(in crate::session) job: String,
    /// Names of its files.
    pub(in crate::session) files: BTreeSet<String>,
    /// Of files that are about one plate: that plate.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(in crate::session) of: BTreeMap<String, PlateId>,
    /// Those that are put there when this list is; the others are there already. `None`: all. Kept beside the list, in [`MOVING`], while they
    /// move: the list itself is the same for the same files.
    #[serde(skip)]
    fresh: Option<BTreeSet<String>>,
}

impl Written {
    /// Nothing where it is no list. The first lists were names alone and said of no job.
    pub(super) fn read(bytes: &[u8]) -> Self {
        let names = || serde_json::from_slice(bytes).map(|files| Self { files, ..Self::default() });
        serde_json::from_slice(bytes).or_else(|_| names()).unwrap_or_default()
    }
    /// An export of a job: its files, and which of them are about which plate.
    pub(in crate::session) fn new(job: String, files: BTreeSet<String>, of: BTreeMap<String, PlateId>) -> Self {
        Self { job, files, of, fresh: None }
    }
    /// The names that were put there when this list was.
    fn moved(&self) -> &BTreeSet<String> {
        self.fresh.as_ref().unwrap_or(&self.files)
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
    /// Names of earlier files that stay: those of other plates.
    kept: BTreeSet<String>,
    /// SHA-256 of the files written so far.
    hashes: BTreeMap<String, String>,
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
    /// Makes the folder ready for the files in `now`: all of an export, or, with `only`, those of one plate beside what is there of others.
    ///
    /// # Errors
    /// It cannot be written, belongs to another job's export, holds a file of that name that no export wrote, or another
    /// export is being written into it.
    pub(in crate::session) fn begin(
        world: &Arc<dyn World>,
        folder: &Path,
        now: Written,
        only: Option<PlateId>,
    ) -> Result<Self, SessionError> {
        let now = Written { files: now.files.into_iter().chain([MANIFEST.to_owned()]).collect(), ..now };
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
        let others = |name: &&String| only.is_some_and(|id| earlier.of.get(*name) != Some(&id)) && is_name(name);
        let kept = earlier.files.iter().filter(others).filter(|n| !now.files.contains(*n)).cloned().collect();
        let write = |path: &Path, why| SessionError::Write { path: path.into(), why };
        let mut staging = Self {
            world: world.clone(),
            folder: folder.into(),
            made,
            kept,
            hashes: BTreeMap::new(),
            now,
            earlier,
            lock: None,
            done: false,
        };
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

    fn stage(&mut self, name: &str, fill: &mut Fill<'_>) -> Result<(), SessionError> {
        let path = self.folder.join(name);
        let written = self.world.create(&self.waiting("new").join(name)).map_err(WriteError::from);
        let written = written.and_then(|mut out| {
            let mut hashing = Hashing::new(&mut out);
            fill(&mut hashing)?;
            let hash = hashing.hex();
            out.finish()?;
            Ok(hash)
        });
        let written = written.map(|hash| {
            self.hashes.insert(name.to_owned(), hash);
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
        let obsolete = obsolete.map(String::as_str).filter(|n| is_name(n));
        let fresh = self.now.moved().iter().map(String::as_str).chain([LIST]);
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

impl Staging {
    /// Writes the manifest, leaves what is the same as it was, and writes the list of what moves.
    fn settle(&mut self) -> Result<HandedOver, SessionError> {
        let names: BTreeSet<String> = self.now.files.clone();
        let lines = self.manifest();
        self.stage(MANIFEST, &mut |out| Ok(out.write_all(lines.as_bytes())?))?;
        let mut fresh = names.clone();
        for name in &names {
            let same = |hash: &String| hash_of(self.world.as_ref(), &self.folder.join(name)).is_ok_and(|h| h == *hash);
            // What was there and is no file of an earlier export was refused.
            if self.earlier.files.contains(name) && self.hashes.get(name).is_some_and(same) {
                let waits = self.waiting("new").join(name);
                self.world.remove(&waits).map_err(|why| SessionError::Write { path: waits, why })?;
                fresh.remove(name);
            }
        }
        let unchanged = names.len() - fresh.len();
        let of_kept = self.earlier.of.iter().filter(|(name, _)| self.kept.contains(*name));
        let of_kept: Vec<(String, PlateId)> = of_kept.map(|(name, id)| (name.clone(), *id)).collect();
        self.now.of.extend(of_kept);
        self.now.files.extend(self.kept.iter().cloned());
        let moving = serde_json::to_vec(&fresh).unwrap_or_default();
        let place = self.folder.join(WAITING).join(MOVING);
        let written = self.world.create(&place).and_then(|mut out| {
            out.write_all(&moving)?;
            out.finish()
        });
        written.map_err(|why| SessionError::Write { path: self.folder.join(MANIFEST), why })?;
        self.now.fresh = Some(fresh);
        let list = serde_json::to_vec_pretty(&self.now).unwrap_or_default();
        self.stage(LIST, &mut |out| Ok(out.write_all(&list)?))?;
        Ok(HandedOver { names: names.into_iter().collect(), unchanged })
    }

    /// A line for every file of the export: those written now, and those that stay as they were handed over.
    fn manifest(&self) -> String {
        let earlier = self.world.read_small(&self.folder.join(MANIFEST), manifest::MOST_BYTES).unwrap_or_default();
        let known: BTreeMap<String, String> =
            manifest::lines(&earlier).into_iter().filter_map(Result::ok).map(|l| (l.name, l.sha256)).collect();
        let of_kept = |name: &String| {
            let hash =
                known.get(name).cloned().or_else(|| hash_of(self.world.as_ref(), &self.folder.join(name)).ok())?;
            Some((name.clone(), hash))
        };
        let mut all: BTreeMap<String, String> = self.kept.iter().filter_map(of_kept).collect();
        all.extend(self.now.files.iter().filter_map(|n| Some((n.clone(), self.hashes.get(n)?.clone()))));
        manifest::text(&all)
    }
}

/// A name that leads nowhere else.
fn is_name(name: &str) -> bool {
    manifest::is_plain_name(name)
}

impl OutFolder for Staging {
    fn write(&mut self, name: &str, fill: &mut Fill<'_>) -> Result<(), String> {
        self.stage(name, fill).map_err(|why| why.to_string())
    }

    fn finish(mut self: Box<Self>) -> Result<HandedOver, String> {
        let settled = self.settle();
        let handed_over = settled.and_then(|h| self.swap().map(|()| h)).map_err(|why| {
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
        Ok(handed_over)
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
        let mut written = Written::read(&list);
        let moving = world.read(&folder.join(WAITING).join(MOVING)).ok();
        written.fresh = moving.and_then(|bytes| serde_json::from_slice(&bytes).ok());
        for name in written.moved() {
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
