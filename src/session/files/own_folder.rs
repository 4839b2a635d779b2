//! The folder of the program's own small files.

use std::path::{Path, PathBuf};

use crate::session::{Session, SessionError};

impl Session {
    pub(in crate::session) fn own(&self, name: &str) -> Option<PathBuf> {
        self.world.own_folder().map(|f| f.join(name))
    }

    /// Writes a file of the program's own, making the folder.
    pub(in crate::session) fn write_own(&self, path: &Path, bytes: &[u8]) -> Result<(), SessionError> {
        let write = |why| SessionError::Write { path: path.into(), why };
        if let Some(folder) = path.parent() {
            self.world.make_folder(folder).map_err(write)?;
        }
        self.world.write(path, bytes).map_err(write)
    }
}
