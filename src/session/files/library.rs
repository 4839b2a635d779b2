//! The meshes of a job: read once, shared.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::PathBuf,
    sync::Arc,
};

use crate::{
    document::{Job, MeshId},
    work::{Loaded, ReadFile},
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
    /// Objects read so far, by id; kept for undo, up to [`MOST_SPARE_BYTES`] of those that the job does not name.
    loaded: BTreeMap<MeshId, Arc<Loaded>>,
    /// Their files are being read.
    awaited: BTreeSet<MeshId>,
}

/// Meshes kept that the job does not name: for steps back, before they are read again.
const MOST_SPARE_BYTES: usize = 256 << 20;

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
            self.awaited.remove(id);
        }
    }

    /// Its file is being read.
    pub(super) fn await_it(&mut self, id: MeshId) {
        self.awaited.insert(id);
    }

    /// True while its file is being read.
    pub(in crate::session) fn is_awaited(&self, id: &MeshId) -> bool {
        self.awaited.contains(id)
    }

    /// True where it was looked for, or is being read.
    pub(super) fn knows(&self, id: &MeshId) -> bool {
        self.awaited.contains(id) || self.states.contains_key(id)
    }

    /// Forgets meshes that the job does not name, where together they take more than [`MOST_SPARE_BYTES`].
    pub(super) fn forget_spare(&mut self, job: &Job) {
        self.forget_beyond(job, MOST_SPARE_BYTES);
    }

    fn forget_beyond(&mut self, job: &Job, most_bytes: usize) {
        let named: BTreeSet<&MeshId> = job.meshes.iter().map(|m| &m.id).collect();
        let spare = |id: &&MeshId| !named.contains(*id);
        let size = |l: &Loaded| size_of_val(&l.mesh.vertices[..]) + size_of_val(&l.mesh.triangles[..]);
        let mut bytes = 0;
        let all: Vec<MeshId> = self.loaded.keys().filter(spare).cloned().collect();
        for id in all {
            bytes += self.loaded.get(&id).map_or(0, |l| size(l));
            if bytes > most_bytes {
                self.loaded.remove(&id);
                self.states.remove(&id);
            }
        }
    }

    /// Says what is known of a mesh.
    pub fn set(&mut self, id: MeshId, state: MeshState) {
        self.awaited.remove(&id);
        self.states.insert(id, state);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{FileUnit, MeshRef};

    #[test]
    fn spare_meshes_have_a_bound_and_those_of_the_job_stay() {
        let mut library = Library::default();
        let block = b"solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid a\n";
        let mut ids = Vec::new();
        for n in 0..5 {
            let bytes = [block.as_slice(), &vec![b'\n'; n]].concat();
            let file = crate::work::read_file("a.stl", &bytes).expect("it is a mesh");
            ids.push(file.objects[0].0.clone());
            library.keep(&file);
        }
        let named = MeshRef {
            id: ids[0].clone(),
            file: String::new(),
            object: String::new(),
            body: None,
            unit: FileUnit::default(),
        };
        let job = Job { meshes: vec![named], ..Job::default() };
        // Three corners of 24 bytes and a triangle of 12 each.
        library.forget_beyond(&job, 2 * (3 * 24 + 12));
        assert!(library.loaded(&ids[0]).is_some() && library.knows(&ids[0]));
        assert_eq!(ids.iter().filter(|id| library.loaded(id).is_some()).count(), 3);
        assert_eq!(ids.iter().filter(|id| library.knows(id)).count(), 3, "what is forgotten is looked for again");
        library.forget_spare(&job);
        assert_eq!(ids.iter().filter(|id| library.knows(id)).count(), 3);
    }
}
