//! Looking for mesh files that have moved.

use std::{
    collections::BTreeMap,
    ffi::OsStr,
    io::ErrorKind,
    path::{Path, PathBuf},
};

use crate::{
    document::{MeshId, MeshRef},
    session::{SessionError, World},
    work::sha256_hex,
};

/// Files looked into for a mesh that has moved.
const MOST_CANDIDATES: usize = 200;

/// A search for mesh files: each file is read once, however many meshes are looked for.
pub struct Search<'a> {
    world: &'a dyn World,
    folder: &'a Path,
    /// Files in the job's folder and one folder below.
    near: Option<Vec<PathBuf>>,
    /// SHA-256 of files read so far; `None` where they cannot be read.
    hashes: BTreeMap<PathBuf, Option<String>>,
}

impl<'a> Search<'a> {
    /// A search round the folder of a job.
    pub fn new(world: &'a dyn World, folder: &'a Path) -> Self {
        Self { world, folder, near: None, hashes: BTreeMap::new() }
    }

    pub(in crate::session) fn hash(&mut self, path: &Path) -> Option<String> {
        let world = self.world;
        let read = |path: &PathBuf| world.read(path).ok().map(|bytes| sha256_hex(&bytes));
        self.hashes.entry(path.to_path_buf()).or_insert_with_key(read).clone()
    }

    /// Looks for the file of a reference: where it says, else a file of the same content in the job's folder or one
    /// folder below.
    pub fn find(&mut self, mesh: &MeshRef) -> Found {
        let path = self.folder.join(&mesh.file);
        let mut found = Found::Nowhere { looked: path.clone() };
        if let Some(sha256) = self.hash(&path) {
            if sha256 == mesh.id.sha256() {
                return Found::Here { path, moved: false };
            }
            found = Found::Changed { now: MeshId::new(&sha256, mesh.id.index()), file: path.clone() };
        } else if self.world.exists(&path)
            && let Err(why) = self.world.read(&path)
            && why.kind() != ErrorKind::NotFound
        {
            found = Found::Unreadable { why: SessionError::Read { path: path.clone(), why } };
        }
        let (world, folder) = (self.world, self.folder);
        let near = self.near.get_or_insert_with(|| {
            let mut near = world.list(folder);
            let folders = near.iter().filter(|p| p.extension().is_none());
            let below: Vec<PathBuf> = folders.flat_map(|p| world.list(p)).collect();
            near.extend(below);
            near
        });
        let wanted = path.extension().map(OsStr::to_ascii_lowercase);
        let same_kind = |p: &&PathBuf| **p != path && p.extension().map(OsStr::to_ascii_lowercase) == wanted;
        let candidates: Vec<PathBuf> = near.iter().filter(same_kind).take(MOST_CANDIDATES).cloned().collect();
        let of_content = |path: &PathBuf| self.hash(path).as_deref() == Some(mesh.id.sha256());
        match candidates.into_iter().find(of_content) {
            Some(path) => Found::Here { path, moved: true },
            None => found,
        }
    }
}

/// What came of looking for a mesh file.
#[derive(Debug)]
pub enum Found {
    /// There it is.
    Here {
        /// Where.
        path: PathBuf,
        /// Not where the job said.
        moved: bool,
    },
    /// Another content where the job said, and the old one nowhere near.
    Changed {
        /// The file.
        file: PathBuf,
        /// What it holds now.
        now: MeshId,
    },
    /// Something is there that cannot be read, and no file of the same content near the job.
    Unreadable {
        /// Which, and why.
        why: SessionError,
    },
    /// Nothing.
    Nowhere {
        /// Where the job said.
        looked: PathBuf,
    },
}
