//! Opening a job.

use std::path::{Path, PathBuf};

use crate::{
    document::{Job, file},
    edit::History,
    session::{
        Session, SessionError,
        files::paths::{absolute, relative},
    },
};

impl Session {
    /// A new job with the shop's machines, materials and recipes.
    pub(in crate::session) fn start_new(&mut self) {
        let shop = self.shop();
        let job = Job::with_shop("", &shop);
        self.load(job, None);
    }

    /// Takes a job in place of the one that is open.
    pub(super) fn load(&mut self, job: Job, path: Option<PathBuf>) {
        if let Some(a) = self.arranging.take() {
            a.ticket.cancel();
        }
        self.forget_deals();
        self.end_gauge();
        self.forget_studies();
        self.cancel_improving();
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
    pub(in crate::session) fn open(&mut self, path: &Path) -> Result<(), SessionError> {
        let bytes = self.read_path(path)?;
        let job = file::read(&bytes, &path.display().to_string())?;
        self.load(job, Some(path.to_path_buf()));
        self.on_disk.know(path, &bytes);
        self.remember(path);
        Ok(())
    }

    pub(in crate::session) fn read_path(&self, path: &Path) -> Result<Vec<u8>, SessionError> {
        self.world.read(path).map_err(|why| SessionError::Read { path: path.into(), why })
    }

    /// The folder that mesh paths are relative to.
    pub(in crate::session) fn folder(&self) -> PathBuf {
        self.path.as_deref().and_then(Path::parent).map(Path::to_path_buf).unwrap_or_default()
    }

    /// A mesh's path as the job writes it: from the job's folder, or absolute while it lies nowhere.
    pub(super) fn seen_from_job(&self, path: &Path) -> String {
        match &self.path {
            Some(_) => relative(&absolute(path), &absolute(&self.folder())),
            None => absolute(path).to_string_lossy().into_owned(),
        }
    }
}
