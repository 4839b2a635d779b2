//! The program's own small files: shop, recent jobs, recovery.

use std::path::{Path, PathBuf};

use super::{Session, SessionError};
use crate::document::{
    Shop,
    file::{self, JOB_ENDING, SHOP_ENDING},
};

/// Jobs remembered.
const MOST_RECENT: usize = 10;

impl Session {
    fn own(&self, name: &str) -> Option<PathBuf> {
        self.world.own_folder().map(|f| f.join(name))
    }

    fn shop_path(&self) -> Option<PathBuf> {
        self.own(&format!("shop.{SHOP_ENDING}"))
    }

    /// The shop file's content, or what a shop starts with.
    pub(super) fn shop(&mut self) -> Shop {
        let Some(path) = self.shop_path().filter(|p| self.world.exists(p)) else { return Shop::starter() };
        let read = self.read_path(&path).and_then(|bytes| Ok(file::read_shop(&bytes, &path.display().to_string())?));
        match read {
            Ok(shop) => shop,
            Err(why) => {
                self.tell_fault(why.to_string());
                Shop::starter()
            }
        }
    }

    /// Writes a file of the program's own, making the folder.
    fn write_own(&self, path: &Path, bytes: &[u8]) -> Result<(), SessionError> {
        let write = |why| SessionError::Write { path: path.into(), why };
        if let Some(folder) = path.parent() {
            self.world.make_folder(folder).map_err(write)?;
        }
        self.world.write(path, bytes).map_err(write)
    }

    pub(super) fn keep_as_shop(&mut self) -> Result<(), SessionError> {
        let job = self.job();
        let shop = Shop {
            machines: job.machines.clone(),
            materials: job.materials.clone(),
            recipes: job.recipes.clone(),
            spools: job.spools.clone(),
        };
        let path = self.shop_path().ok_or_else(|| SessionError::Other("there is no folder to keep it in".into()))?;
        self.write_own(&path, &file::write_shop(&shop)?)?;
        self.tell(format!("machines, materials, recipes and spools kept in {}", path.display()));
        Ok(())
    }

    pub(super) fn refresh_from_shop(&mut self, label: &str) {
        let shop = self.shop();
        let (job, changed) = self.job().refreshed(&shop);
        if changed.is_empty() {
            self.tell("everything is as in the shop file");
            return;
        }
        self.history.begin(label);
        self.history.show(job);
        self.history.commit();
        self.tell(format!("refreshed: {}", changed.join(", ")));
    }

    /// Jobs opened lately that are still there.
    pub(super) fn read_recent(&self) -> Vec<PathBuf> {
        let Some(path) = self.own("recent.json") else { return Vec::new() };
        let bytes = self.world.read(&path).unwrap_or_default();
        let all: Vec<PathBuf> = serde_json::from_slice(&bytes).unwrap_or_default();
        all.into_iter().filter(|p| self.world.exists(p)).take(MOST_RECENT).collect()
    }

    pub(super) fn remember(&mut self, path: &Path) {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
        self.recent.retain(|p| *p != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
        if let (Some(own), Ok(bytes)) = (self.own("recent.json"), serde_json::to_vec(&self.recent)) {
            // A list of recent files is a comfort: nothing is lost where it cannot be written.
            let _ = self.write_own(&own, &bytes);
        }
    }

    /// Keeps the unsaved job in the program's own folder, where it has one and something has changed.
    ///
    /// Called once a tick, it writes when the last change is not kept yet; whoever ticks often calls it rarely.
    pub(super) fn keep_for_recovery(&mut self) {
        if !self.recovers || self.history.in_gesture() || self.kept_revision == self.history.revision() {
            return;
        }
        self.kept_revision = self.history.revision();
        if !self.changed() {
            self.drop_recovery();
            return;
        }
        let Some(path) = self.recovery_path() else { return };
        let mut job = self.job().clone();
        let folder = self.folder();
        // Paths in a kept copy are absolute: it lies in another folder than the job.
        for mesh in &mut job.meshes {
            let full = folder.join(&mesh.file);
            mesh.file = std::path::absolute(&full).unwrap_or(full).to_string_lossy().into_owned();
        }
        let kept = file::write(&job).map_err(SessionError::from).and_then(|b| self.write_own(&path, &b));
        if let Err(why) = kept {
            self.tell_fault(format!("the unsaved job cannot be kept for recovery: {why}"));
            self.recovers = false;
        }
    }

    fn recovery_path(&self) -> Option<PathBuf> {
        let id = std::process::id();
        let stem = self
            .path
            .as_ref()
            .and_then(|p| p.file_stem())
            .map_or_else(|| "new job".into(), |s| s.to_string_lossy().into_owned());
        self.own(&format!("unsaved/{stem} ({id}).{JOB_ENDING}"))
    }

    pub(super) fn drop_recovery(&mut self) {
        if let Some(path) = self.recovery_path() {
            // Nothing depends on it being gone.
            let _ = self.world.remove(&path);
        }
    }

    /// Keeps unsaved work for recovery from now on (the window does; the command line does not).
    pub fn set_recovers(&mut self, on: bool) {
        self.recovers = on;
    }

    /// The person leaves, and what is not saved is not wanted: nothing is kept for recovery.
    pub fn leave(&mut self) {
        self.recovers = false;
        self.drop_recovery();
    }

    /// Jobs left unsaved by runs that ended.
    pub fn unsaved_jobs(&self) -> Vec<PathBuf> {
        let Some(folder) = self.own("unsaved") else { return Vec::new() };
        let own = self.recovery_path();
        // Of a job in another window that runs nothing is lost.
        let runs = |p: &PathBuf| process_of(p).is_some_and(|id| self.world.runs(id));
        self.world
            .list(&folder)
            .into_iter()
            .filter(|p| p.extension().is_some_and(|e| e == JOB_ENDING) && Some(p) != own.as_ref() && !runs(p))
            .collect()
    }

    /// Takes up a job that was left unsaved. It has no place of its own until it is saved.
    pub(super) fn recover(&mut self, path: &Path) -> Result<(), SessionError> {
        let bytes = self.read_path(path)?;
        let job = file::read(&bytes, &path.display().to_string())?;
        self.load(job, None);
        self.history.mark_unsaved();
        // The one copy there is goes only when another is kept.
        let recovers = self.recovers;
        self.kept_revision = u64::MAX;
        self.keep_for_recovery();
        if self.recovers == recovers && self.recovery_path().as_deref() != Some(path) {
            self.forget_recovery(path);
        }
        Ok(())
    }

    pub(super) fn forget_recovery(&mut self, path: &Path) {
        let inside = self.own("unsaved").is_some_and(|f| path.parent() == Some(f.as_path()));
        if inside && let Err(why) = self.world.remove(path) {
            self.tell_fault(format!("{}: cannot be removed: {why}", path.display()));
        }
    }
}

/// The process that kept a job for recovery: "NAME (123).stonehand".
fn process_of(kept: &Path) -> Option<u32> {
    kept.file_stem()?.to_str()?.rsplit_once('(')?.1.strip_suffix(')')?.parse().ok()
}
