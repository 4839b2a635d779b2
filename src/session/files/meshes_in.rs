//! Meshes coming in.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use crate::{
    document::{Footing, MeshId, MeshRef, PartId, Pose, Turns},
    edit::{Command, NewPart},
    formats::read::ReadError,
    session::{MeshState, Session, SessionError, derived::pending::Pending},
    work::{ReadFile, Request},
};

impl Session {
    /// Adds mesh files as parts: one for each object.
    pub(in crate::session) fn add_files(&mut self, paths: &[PathBuf]) {
        for path in paths {
            match self.read_path(path) {
                Ok(bytes) => {
                    let name = path.display().to_string();
                    let bytes = Arc::new(bytes);
                    self.ask_once(Pending::Add { path: path.clone() }, || Request::Read { name, bytes });
                }
                Err(why) => self.tell_fault(why.to_string()),
            }
        }
    }

    pub(in crate::session) fn replace_mesh(&mut self, part: PartId, path: &Path) -> Result<(), SessionError> {
        let bytes = Arc::new(self.read_path(path)?);
        let name = path.display().to_string();
        self.ask_once(Pending::Replace { part, path: path.into() }, || Request::Read { name, bytes });
        Ok(())
    }

    pub(in crate::session) fn locate_mesh(&mut self, part: PartId, path: &Path) -> Result<(), SessionError> {
        let id = self.job().part(part).map(|p| p.mesh.clone());
        let id = id.ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let bytes = Arc::new(self.read_path(path)?);
        let name = path.display().to_string();
        self.ask_once(Pending::Locate { id, path: path.into() }, || Request::Read { name, bytes });
        Ok(())
    }

    /// Takes the mesh as it is now in place of the one the job was made with.
    pub(in crate::session) fn take_changed(&mut self, id: &MeshId) -> Result<(), SessionError> {
        let Some(MeshState::Changed { file, .. }) = self.library.state(id).cloned() else { return Ok(()) };
        match self.job().parts.iter().find(|p| p.mesh == *id).map(|p| p.id) {
            Some(part) => self.replace_mesh(part, &file),
            None => Ok(()),
        }
    }

    /// Takes in a mesh file that was read.
    pub(in crate::session) fn take_mesh(&mut self, pending: Pending, read: Result<ReadFile, ReadError>) {
        let file = match read {
            Ok(file) => file,
            Err(why) => {
                match pending {
                    Pending::Mesh { ids } => {
                        for id in ids {
                            self.library.set(id, MeshState::Unreadable { why: why.to_string() });
                        }
                        self.caches.generation += 1;
                    }
                    _ => self.tell_fault(why.to_string()),
                }
                return;
            }
        };
        self.library.keep(&file);
        self.caches.generation += 1;
        let outcome = match pending {
            Pending::Mesh { ids } => {
                for id in ids {
                    if self.library.loaded(&id).is_none() {
                        let why = format!("its file holds no object number {}", id.index() + 1);
                        self.library.set(id, MeshState::Unreadable { why });
                    }
                }
                Ok(())
            }
            Pending::Add { path } => self.add_objects(&path, &file),
            Pending::Replace { part, path } => self.put_mesh(part, &path, &file),
            Pending::Locate { id, path } => self.put_located(&id, &path, &file),
            Pending::Files
            | Pending::Mend(_)
            | Pending::Shape(_)
            | Pending::Profile(_)
            | Pending::Supports(_)
            | Pending::Mass(_)
            | Pending::Judged(_)
            | Pending::Poses(_)
            | Pending::PoseViews(_)
            | Pending::Footing(_)
            | Pending::Compared(_) => Ok(()),
        };
        if let Err(why) = outcome {
            self.tell_fault(why.to_string());
        }
        let job = self.history.shared_job();
        self.library.forget_spare(&job);
    }

    /// A reference to an object of a file.
    fn mesh_ref(&self, path: &Path, file: &ReadFile, index: usize) -> Option<MeshRef> {
        let (id, loaded) = file.objects.get(index)?;
        Some(MeshRef {
            id: id.clone(),
            file: self.seen_from_job(path),
            object: loaded.object.clone(),
            body: None,
            unit: loaded.unit,
        })
    }

    /// New order lines for the objects of a file, `wanted` of each.
    pub(super) fn new_parts(&self, path: &Path, file: &ReadFile, wanted: u32) -> Vec<NewPart> {
        let stem = path.file_stem().map_or_else(|| "part".into(), |s| s.to_string_lossy().into_owned());
        // What is added goes with the plate on the sheet.
        let plate = self.plate();
        (0..file.objects.len())
            .filter_map(|i| {
                let mesh = self.mesh_ref(path, file, i)?;
                let name = if file.objects.len() == 1 { stem.clone() } else { mesh.object.clone() };
                Some(NewPart {
                    name: name.replace(['-', '_'], " "),
                    mesh,
                    wanted,
                    pose: Pose::default(),
                    footing: Footing::Bare,
                    turns: Turns::default(),
                    material: plate.map(|p| p.material),
                    colour: plate.map_or_else(String::new, |p| p.colour.clone()),
                    recipe: plate.map(|p| p.recipe),
                })
            })
            .collect()
    }

    fn add_objects(&mut self, path: &Path, file: &ReadFile) -> Result<(), SessionError> {
        let parts = self.new_parts(path, file, 1);
        let out = self.change("Add part", &Command::AddParts { parts })?;
        self.part = out.parts.first().copied();
        Ok(())
    }

    fn put_mesh(&mut self, part: PartId, path: &Path, file: &ReadFile) -> Result<(), SessionError> {
        let Some(old) = self.job().part(part).map(|p| p.mesh.clone()) else { return Ok(()) };
        // The same object again where the file has one of that number, else its first.
        let index = if old.index() < file.objects.len() { old.index() } else { 0 };
        let Some(mut new) = self.mesh_ref(path, file, index) else { return Ok(()) };
        // A unit that the person chose stays.
        let was = self.job().mesh(&old).map(|m| m.unit);
        let read = self.library.loaded(&old).map(|l| l.unit);
        if let (Some(was), Some(read)) = (was, read)
            && was != read
        {
            new.unit = was;
        }
        self.command("Replace mesh", &Command::ReplaceMesh { old, new })
    }

    fn put_located(&mut self, id: &MeshId, path: &Path, file: &ReadFile) -> Result<(), SessionError> {
        let job = self.job();
        if file.sha256 != id.sha256() {
            return Err(SessionError::Other(format!(
                "{} is not the mesh this job was made with: to use it anyway, replace the mesh",
                path.display()
            )));
        }
        let Some(mesh) = job.mesh(id).cloned() else { return Ok(()) };
        let file = self.seen_from_job(path);
        self.command("Find mesh", &Command::SetMeshRef { mesh: MeshRef { file, ..mesh } })
    }
}
