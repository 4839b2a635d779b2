//! The meshes that the job names, looked for.

use std::{collections::BTreeMap, path::PathBuf, sync::Arc};

use crate::{
    document::MeshId,
    session::{Found, MeshState, Search, Session, derived::pending::Pending},
    work::Request,
};

impl Session {
    /// Looks for meshes that the job names again and that were let go meanwhile.
    pub(in crate::session) fn find_forgotten_meshes(&mut self) {
        if self.job().meshes.iter().any(|m| !self.library.knows(&m.id)) {
            self.find_meshes();
        }
    }

    /// Looks for the meshes that the job names and are not there yet; reads them off the window's thread.
    pub(super) fn find_meshes(&mut self) {
        let folder = self.folder();
        let job = self.history.shared_job();
        self.library.forget_spare(&job);
        let world = self.world.clone();
        let mut search = Search::new(world.as_ref(), &folder);
        let mut here: BTreeMap<PathBuf, Vec<MeshId>> = BTreeMap::new();
        let mut moved_files: BTreeMap<&str, PathBuf> = BTreeMap::new();
        for mesh in &job.meshes {
            if let Some(loaded) = self.library.loaded(&mesh.id).cloned() {
                self.library.set(mesh.id.clone(), MeshState::Ready(loaded));
                continue;
            }
            match search.find(mesh) {
                Found::Here { path, moved } => {
                    if moved {
                        moved_files.insert(&mesh.file, path.clone());
                    }
                    self.library.await_it(mesh.id.clone());
                    here.entry(path).or_default().push(mesh.id.clone());
                }
                Found::Changed { file, now } => self.library.set(mesh.id.clone(), MeshState::Changed { file, now }),
                Found::Unreadable { why } => {
                    self.library.set(mesh.id.clone(), MeshState::Unreadable { why: why.to_string() });
                }
                Found::Nowhere { looked } => self.library.set(mesh.id.clone(), MeshState::Missing { looked }),
            }
        }
        for (file, path) in moved_files {
            self.tell(format!("{file} has moved: found at {}", path.display()));
            // Written into the job, or it would be lost again once the job is saved in another folder.
            let new = self.seen_from_job(&path);
            self.history.rename_files(&|f| if f == file { new.clone() } else { f.to_owned() });
        }
        for (path, ids) in here {
            match self.read_path(&path) {
                Ok(bytes) => {
                    let (name, bytes) = (path.display().to_string(), Arc::new(bytes));
                    self.ask_once(Pending::Mesh { ids }, || Request::Read { name, bytes });
                }
                Err(why) => {
                    let unreadable = |id| (id, MeshState::Unreadable { why: why.to_string() });
                    ids.into_iter().map(unreadable).for_each(|(id, state)| self.library.set(id, state));
                }
            }
        }
    }
}
