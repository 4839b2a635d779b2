//! The program's own small files: shop, recent jobs.

use std::path::{Path, PathBuf};

use super::{Session, SessionError, World};
use crate::document::{
    Shop,
    file::{self, SHOP_ENDING},
};

/// Jobs remembered.
const MOST_RECENT: usize = 10;

/// Where the window keeps its looks.
const SETTINGS: &str = "window.json";
/// More is not read of it.
const MOST_SETTINGS_BYTES: u64 = 64 * 1024;

/// What the window kept of its looks in an earlier run, before there is a session.
pub fn settings_in(world: &dyn World) -> Option<Vec<u8>> {
    let path = world.own_folder()?.join(SETTINGS);
    world.read_small(&path, MOST_SETTINGS_BYTES).ok()
}

impl Session {
    pub(super) fn own(&self, name: &str) -> Option<PathBuf> {
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
    pub(super) fn write_own(&self, path: &Path, bytes: &[u8]) -> Result<(), SessionError> {
        let write = |why| SessionError::Write { path: path.into(), why };
        if let Some(folder) = path.parent() {
            self.world.make_folder(folder).map_err(write)?;
        }
        self.world.write(path, bytes).map_err(write)
    }

    /// What the window kept of its looks in an earlier run.
    pub fn kept_settings(&self) -> Option<Vec<u8>> {
        settings_in(self.world.as_ref())
    }

    /// Keeps how the window looks, in place of what was kept before. What cannot be kept is nothing to trouble anybody with.
    pub fn keep_settings(&self, bytes: &[u8]) {
        if let Some(path) = self.own(SETTINGS) {
            drop(self.write_own(&path, bytes));
        }
    }

    pub(super) fn keep_as_shop(&mut self) -> Result<(), SessionError> {
        let job = self.job();
        let shop = Shop {
            machines: job.machines.clone(),
            materials: job.materials.clone(),
            recipes: job.recipes.clone(),
            spools: job.spools.clone(),
            currency: job.currency.clone(),
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
            self.tell("nothing differs from the shop file");
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
}
