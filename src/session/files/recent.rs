//! Jobs opened lately.

use std::path::{Path, PathBuf};

use crate::session::Session;

/// Jobs remembered.
const MOST_RECENT: usize = 10;

impl Session {
    /// Jobs opened lately that are still there.
    pub(in crate::session) fn read_recent(&self) -> Vec<PathBuf> {
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
