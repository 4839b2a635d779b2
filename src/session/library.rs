//! The meshes of a job: read once, shared.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    sync::{Arc, OnceLock},
};

use sha2::{Digest, Sha256};

use super::World;
use crate::{
    document::{FileUnit, MeshId, MeshRef},
    formats::read::{MeshFile, ReadError, mesh_file},
    mesh::{self, Report, TriMesh},
};

/// One object of a mesh file.
#[derive(Debug)]
pub struct Loaded {
    /// Its triangles, in file coordinates.
    pub mesh: Arc<TriMesh>,
    /// What was noticed while reading and checking it.
    pub report: Report,
    /// Its name in the file.
    pub object: String,
    /// Unit the file itself states (millimetres where it states none).
    pub unit: FileUnit,
    bodies: OnceLock<Vec<Arc<TriMesh>>>,
}

impl Loaded {
    /// The bodies that hang together, largest volume first.
    pub fn bodies(&self) -> &[Arc<TriMesh>] {
        self.bodies.get_or_init(|| mesh::split_bodies(&self.mesh).into_iter().map(Arc::new).collect())
    }
    /// The whole object, or one of its bodies; the whole where there is no such body.
    pub fn body(&self, body: Option<u32>) -> Arc<TriMesh> {
        match body {
            Some(n) => self.bodies().get(n as usize).unwrap_or(&self.mesh).clone(),
            None => self.mesh.clone(),
        }
    }
}

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

/// A file that was read: its hash and its objects.
#[derive(Debug)]
pub struct ReadFile {
    /// SHA-256 of its bytes, hex.
    pub sha256: String,
    /// Its objects, in file order, with ids.
    pub objects: Vec<(MeshId, Arc<Loaded>)>,
}

/// SHA-256 in lower-case hex.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut s, b| {
        // Writing into a String cannot fail.
        let _ = write!(s, "{b:02x}");
        s
    })
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

    /// Reads a mesh file and keeps its objects.
    pub fn read(&mut self, name: &str, bytes: &[u8]) -> Result<ReadFile, ReadError> {
        let sha256 = sha256_hex(bytes);
        let id = MeshId::new(&sha256, 0);
        if self.loaded.contains_key(&id) {
            let objects: Vec<_> = self
                .loaded
                .iter()
                .filter(|(id, _)| id.sha256() == sha256)
                .map(|(id, l)| (id.clone(), l.clone()))
                .collect();
            let mut objects = objects;
            objects.sort_by_key(|(id, _)| id.index());
            return Ok(ReadFile { sha256, objects });
        }
        let file = mesh_file(name, bytes)?;
        Ok(ReadFile { objects: self.keep(&sha256, file), sha256 })
    }

    fn keep(&mut self, sha256: &str, file: MeshFile) -> Vec<(MeshId, Arc<Loaded>)> {
        let unit = file.unit;
        file.objects
            .into_iter()
            .enumerate()
            .map(|(i, o)| {
                let mut report = mesh::report(&o.mesh);
                report.faults.extend(o.faults);
                let loaded = Arc::new(Loaded {
                    mesh: Arc::new(o.mesh),
                    report,
                    object: o.name,
                    unit,
                    bodies: OnceLock::new(),
                });
                let id = MeshId::new(sha256, i);
                self.loaded.insert(id.clone(), loaded.clone());
                self.states.insert(id.clone(), MeshState::Ready(loaded.clone()));
                (id, loaded)
            })
            .collect()
    }

    /// Finds and reads the mesh of a reference: where it says, else a file of the same content in the job's folder or
    /// one folder below.
    ///
    /// Returns the path where it was found, if that is another than the one written.
    pub fn find(&mut self, world: &dyn World, folder: &Path, mesh: &MeshRef) -> Option<PathBuf> {
        if let Some(loaded) = self.loaded.get(&mesh.id) {
            self.states.insert(mesh.id.clone(), MeshState::Ready(loaded.clone()));
            return None;
        }
        let path = folder.join(&mesh.file);
        let mut state = MeshState::Missing { looked: path.clone() };
        if let Ok(bytes) = world.read(&path) {
            let sha256 = sha256_hex(&bytes);
            if sha256 == mesh.id.sha256() {
                state = self.take(&path, &bytes, &mesh.id);
                self.states.insert(mesh.id.clone(), state);
                return None;
            }
            state = MeshState::Changed { file: path.clone(), now: MeshId::new(&sha256, mesh.id.index()) };
        }
        // Moved? Same extension, same content, near the job.
        let wanted = path.extension().map(std::ffi::OsStr::to_ascii_lowercase);
        let mut near = world.list(folder);
        let below: Vec<PathBuf> = near.iter().filter(|p| p.extension().is_none()).flat_map(|p| world.list(p)).collect();
        near.extend(below);
        let same_kind = |p: &PathBuf| *p != path && p.extension().map(std::ffi::OsStr::to_ascii_lowercase) == wanted;
        for candidate in near.into_iter().filter(same_kind).take(MOST_CANDIDATES) {
            if let Ok(bytes) = world.read(&candidate)
                && sha256_hex(&bytes) == mesh.id.sha256()
            {
                state = self.take(&candidate, &bytes, &mesh.id);
                self.states.insert(mesh.id.clone(), state);
                return Some(candidate);
            }
        }
        self.states.insert(mesh.id.clone(), state);
        None
    }

    fn take(&mut self, path: &Path, bytes: &[u8], id: &MeshId) -> MeshState {
        match self.read(&path.display().to_string(), bytes) {
            Err(e) => MeshState::Unreadable { why: e.to_string() },
            Ok(file) => match file.objects.into_iter().find(|(i, _)| i == id) {
                Some((_, loaded)) => MeshState::Ready(loaded),
                None => MeshState::Unreadable {
                    why: format!("{} holds no object number {}", path.display(), id.index() + 1),
                },
            },
        }
    }
}

/// Files looked into for a mesh that has moved.
const MOST_CANDIDATES: usize = 200;
