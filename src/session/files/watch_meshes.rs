//! Mesh files that vanish while the job is open: told, before the job is opened somewhere without them.

use std::{collections::BTreeSet, path::PathBuf};

use crate::{
    session::{MeshState, Session, derived::pending::Pending},
    work::{Look, Request},
};

impl Session {
    /// Looks off the window's thread whether the mesh files of the job are still there.
    pub(in crate::session) fn look_for_mesh_files(&mut self) {
        let folder = self.folder();
        let job = self.job();
        let named = job.meshes.iter().filter(|m| matches!(self.library.state(&m.id), Some(MeshState::Ready(_))));
        let files: BTreeSet<PathBuf> = named.map(|m| folder.join(&m.file)).collect();
        if files.is_empty() {
            return;
        }
        let world = self.world.clone();
        let look = move || files.into_iter().filter(|f| !world.exists(f)).collect();
        self.ask_once(Pending::Files, || Request::Look(Look(Box::new(look))));
    }

    /// Takes in which files are gone, and tells of each once.
    pub(in crate::session) fn take_gone(&mut self, gone: Vec<PathBuf>) {
        let gone: BTreeSet<PathBuf> = gone.into_iter().collect();
        for file in gone.difference(&self.gone_files.clone()) {
            self.tell_fault(format!(
                "{} is gone: this window still has the mesh; opened again, the job has only the outline of its parts. Put the file back, \
                 or choose Replace mesh",
                file.display()
            ));
        }
        self.gone_files = gone;
    }
}
