//! How the window looked in an earlier run.

use crate::session::{Session, World};

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
}
