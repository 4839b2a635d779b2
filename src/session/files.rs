//! Opening, saving, and meshes coming in.

use std::{
    collections::BTreeMap,
    path::{Component, Path, PathBuf},
    sync::Arc,
};

use super::{
    MeshState, Session, SessionError,
    derived::Pending,
    library::{Found, Search},
};
use crate::{
    document::{
        Footing, Job, MeshId, MeshRef, PartId, Pose, Turns,
        file::{self, JOB_ENDING},
    },
    edit::{Command, History, NewPart},
    formats::read::ReadError,
    work::{ReadFile, Request},
};

impl Session {
    /// A new job with the shop's machines, materials and recipes.
    pub(super) fn start_new(&mut self) {
        let shop = self.shop();
        let job = Job::with_shop("", &shop);
        self.load(job, None);
    }

    /// Takes a job in place of the one that is open.
    pub(super) fn load(&mut self, job: Job, path: Option<PathBuf>) {
        if let Some(a) = self.arranging.take() {
            a.ticket.cancel();
        }
        self.end_gauge();
        // Whoever takes another job has saved this one or does not want it.
        if self.keeping.recovers {
            self.drop_recovery();
        }
        self.plate = job.plates.first().map(|p| p.id);
        self.part = None;
        self.history = History::new(job);
        self.path = path;
        self.on_disk.begin_anew();
        self.selection.clear();
        self.bounds.clear();
        self.plates_bound = None;
        self.why_unplaced.clear();
        self.height_mm = None;
        self.caches.views.clear();
        self.caches.generation += 1;
        self.keeping.revision = self.history.revision();
        self.find_meshes();
        self.refresh();
    }

    /// Opens a job file.
    pub(super) fn open(&mut self, path: &Path) -> Result<(), SessionError> {
        let bytes = self.read_path(path)?;
        let job = file::read(&bytes, &path.display().to_string())?;
        self.load(job, Some(path.to_path_buf()));
        self.on_disk.know(path, &bytes);
        self.remember(path);
        Ok(())
    }

    pub(super) fn read_path(&self, path: &Path) -> Result<Vec<u8>, SessionError> {
        self.world.read(path).map_err(|why| SessionError::Read { path: path.into(), why })
    }

    /// The folder that mesh paths are relative to.
    pub(super) fn folder(&self) -> PathBuf {
        self.path.as_deref().and_then(Path::parent).map(Path::to_path_buf).unwrap_or_default()
    }

    /// A mesh's path as the job writes it: from the job's folder, or absolute while it lies nowhere.
    fn seen_from_job(&self, path: &Path) -> String {
        match &self.path {
            Some(_) => relative(&absolute(path), &absolute(&self.folder())),
            None => absolute(path).to_string_lossy().into_owned(),
        }
    }

    /// Looks for meshes that the job names again and that were let go meanwhile.
    pub(super) fn find_forgotten_meshes(&mut self) {
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

    /// Adds mesh files as parts: one for each object.
    pub(super) fn add_files(&mut self, paths: &[PathBuf]) {
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

    pub(super) fn replace_mesh(&mut self, part: PartId, path: &Path) -> Result<(), SessionError> {
        let bytes = Arc::new(self.read_path(path)?);
        let name = path.display().to_string();
        self.ask_once(Pending::Replace { part, path: path.into() }, || Request::Read { name, bytes });
        Ok(())
    }

    pub(super) fn locate_mesh(&mut self, part: PartId, path: &Path) -> Result<(), SessionError> {
        let id = self.job().part(part).map(|p| p.mesh.clone());
        let id = id.ok_or_else(|| SessionError::Other("there is no such part".into()))?;
        let bytes = Arc::new(self.read_path(path)?);
        let name = path.display().to_string();
        self.ask_once(Pending::Locate { id, path: path.into() }, || Request::Read { name, bytes });
        Ok(())
    }

    /// Takes the mesh as it is now in place of the one the job was made with.
    pub(super) fn take_changed(&mut self, id: &MeshId) -> Result<(), SessionError> {
        let Some(MeshState::Changed { file, .. }) = self.library.state(id).cloned() else { return Ok(()) };
        match self.job().parts.iter().find(|p| p.mesh == *id).map(|p| p.id) {
            Some(part) => self.replace_mesh(part, &file),
            None => Ok(()),
        }
    }

    /// Takes in a mesh file that was read.
    pub(super) fn take_mesh(&mut self, pending: Pending, read: Result<ReadFile, ReadError>) {
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
            Pending::Shape(_) | Pending::Profile(_) | Pending::Supports(_) | Pending::Footing(_) => Ok(()),
        };
        if let Err(why) = outcome {
            self.tell_fault(why.to_string());
        }
        let job = self.history.shared_job();
        self.library.forget_spare(&job);
    }

    /// A reference to an object of a file.
    pub(super) fn mesh_ref(&self, path: &Path, file: &ReadFile, index: usize) -> Option<MeshRef> {
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
        self.change("Replace mesh", &Command::ReplaceMesh { old, new })?;
        Ok(())
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
        self.change("Find mesh", &Command::SetMeshRef { mesh: MeshRef { file, ..mesh } })?;
        Ok(())
    }
}

/// A job file's path with its ending, whatever was typed.
pub(super) fn with_ending(path: &Path) -> PathBuf {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case(JOB_ENDING)) {
        return path.to_path_buf();
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(".");
    name.push(JOB_ENDING);
    path.with_file_name(name)
}

/// Absolute, without `.` and `..`; links are not followed, so that a path stays as the person knows it.
pub(super) fn absolute(path: &Path) -> PathBuf {
    // A job named without a folder lies in the working one, whose path is empty.
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    let full = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let mut out = PathBuf::new();
    for c in full.components() {
        match c {
            Component::ParentDir => {
                out.pop();
            }
            Component::CurDir => {}
            other => out.push(other),
        }
    }
    out
}

/// `path` as seen from `folder`, `/` between names; absolute where they share no root.
pub(super) fn relative(path: &Path, folder: &Path) -> String {
    let (a, b): (Vec<_>, Vec<_>) = (path.components().collect(), folder.components().collect());
    let same = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    if same == 0 {
        return path.to_string_lossy().into_owned();
    }
    let up = std::iter::repeat_n("..".to_owned(), b.len() - same);
    let down = a[same..].iter().map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_relative_where_they_can_be() {
        let p = Path::new;
        assert_eq!(relative(p("/a/b/c.stl"), p("/a/b")), "c.stl");
        assert_eq!(relative(p("/a/b/m/c.stl"), p("/a/b")), "m/c.stl");
        assert_eq!(relative(p("/a/x/c.stl"), p("/a/b/d")), "../../x/c.stl");
        assert_eq!(absolute(p("/a/./b/../c")), p("/a/c"));
        assert_eq!(with_ending(p("/a/hive")), p("/a/hive.stonehand"));
        assert_eq!(with_ending(p("/a/hive.v2")), p("/a/hive.v2.stonehand"));
        assert_eq!(with_ending(p("/a/hive.stonehand")), p("/a/hive.stonehand"));
    }
}
