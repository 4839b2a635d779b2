//! The meshes of a job: read once, shared.

use std::{
    collections::BTreeMap,
    ffi::OsStr,
    io::ErrorKind,
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{SessionError, World};
use crate::{
    document::{MeshId, MeshRef},
    work::{Loaded, ReadFile, sha256_hex},
};

/// What is known of a mesh that the job names.
#[derive(Debug, Clone)]
pub enum MeshState {
    /// It is there.
    Ready(Arc<Loaded>),
    /// No such file, and no file of the same content near the job.
    Missing {
        /// Where it was looked for.
        looked: PathBuf,
    },
    /// The file is there, and its content is another.
    Changed {
        /// The file.
        file: PathBuf,
        /// What it holds now.
        now: MeshId,
    },
    /// The file cannot be read.
    Unreadable {
        /// One sentence.
        why: String,
    },
}

/// The meshes of a job.
#[derive(Debug, Default)]
pub struct Library {
    states: BTreeMap<MeshId, MeshState>,
    /// Objects read so far, by id; kept for undo.
    loaded: BTreeMap<MeshId, Arc<Loaded>>,
}

impl Library {
    /// What is known of a mesh.
    pub fn state(&self, id: &MeshId) -> Option<&MeshState> {
        self.states.get(id)
    }

    /// The mesh, where it is there. Also finds meshes that the job named before an undo.
    pub fn loaded(&self, id: &MeshId) -> Option<&Arc<Loaded>> {
        self.loaded.get(id)
    }

    /// Keeps the objects of a file that was read.
    pub fn keep(&mut self, file: &ReadFile) {
        for (id, loaded) in &file.objects {
            self.loaded.insert(id.clone(), loaded.clone());
            self.states.insert(id.clone(), MeshState::Ready(loaded.clone()));
        }
    }

    /// Says what is known of a mesh.
    pub fn set(&mut self, id: MeshId, state: MeshState) {
        self.states.insert(id, state);
    }

    /// Looks for the file of a reference: where it says, else a file of the same content in the job's folder or one
    /// folder below.
    pub fn find(world: &dyn World, folder: &Path, mesh: &MeshRef) -> Found {
        let path = folder.join(&mesh.file);
        let mut found = Found::Nowhere { looked: path.clone() };
        match world.read(&path) {
            Ok(bytes) => {
                let sha256 = sha256_hex(&bytes);
                if sha256 == mesh.id.sha256() {
                    return Found::Here { path, bytes, moved: false };
                }
                found = Found::Changed { now: MeshId::new(&sha256, mesh.id.index()), file: path.clone() };
            }
            Err(why) if why.kind() == ErrorKind::NotFound => {}
            Err(why) => found = Found::Unreadable { why: SessionError::Read { path: path.clone(), why } },
        }
        let wanted = path.extension().map(OsStr::to_ascii_lowercase);
        let mut near = world.list(folder);
        let below: Vec<PathBuf> = near.iter().filter(|p| p.extension().is_none()).flat_map(|p| world.list(p)).collect();
        near.extend(below);
        let same_kind = |p: &PathBuf| *p != path && p.extension().map(OsStr::to_ascii_lowercase) == wanted;
        for candidate in near.into_iter().filter(same_kind).take(MOST_CANDIDATES) {
            if let Ok(bytes) = world.read(&candidate)
                && sha256_hex(&bytes) == mesh.id.sha256()
            {
                return Found::Here { path: candidate, bytes, moved: true };
            }
        }
        found
    }
}

/// What came of looking for a mesh file.
#[derive(Debug)]
pub enum Found {
    /// There it is.
    Here {
        /// Where.
        path: PathBuf,
        /// Its bytes.
        bytes: Vec<u8>,
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

/// Files looked into for a mesh that has moved.
const MOST_CANDIDATES: usize = 200;
