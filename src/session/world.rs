//! The world outside: files and the calendar. Tests put their own in its place.

use std::{
    io::{self, Read},
    path::{Path, PathBuf},
    time::SystemTime,
};

/// A file in the cache folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CachedFile {
    /// Where it is.
    pub path: PathBuf,
    /// Its size.
    pub bytes: u64,
    /// When it was last written or [`World::touch`]ed.
    pub used: SystemTime,
}

/// Files and the calendar, as the session needs them.
pub trait World: Send + Sync {
    /// The bytes of a file. Files over the limit are refused before they are read.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// A file to be read bit by bit, and its length in bytes.
    fn stream(&self, path: &Path) -> io::Result<(Box<dyn Read + Send>, u64)> {
        let bytes = self.read(path)?;
        let length = bytes.len() as u64;
        Ok((Box::new(io::Cursor::new(bytes)), length))
    }
    /// The bytes of a file of at most `most_bytes`; a larger one is refused before it is read.
    fn read_small(&self, path: &Path, most_bytes: u64) -> io::Result<Vec<u8>>;
    /// Writes a file atomically: a temporary file beside it, flushed, then renamed over it.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Removes a file; it is no error where there is none.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Makes a folder and those above it.
    fn make_folder(&self, path: &Path) -> io::Result<()>;
    /// Files in a folder, by name.
    fn list(&self, folder: &Path) -> Vec<PathBuf>;
    /// True where a file or folder is.
    fn exists(&self, path: &Path) -> bool;
    /// Where this program keeps its own small files (shop, recent files, recovery), `None` where there is no place.
    fn own_folder(&self) -> Option<PathBuf>;
    /// Where this program keeps what it can compute again, `None` where nothing is kept. Anybody may empty it at any time.
    fn cache_folder(&self) -> Option<PathBuf>;
    /// Files in a folder below the cache folder.
    fn cached_files(&self, folder: &Path) -> Vec<CachedFile>;
    /// Marks a file as used now.
    fn touch(&self, path: &Path) -> io::Result<()>;
    /// The sample job that comes with the program, where it is there.
    fn sample_job(&self) -> Option<PathBuf> {
        None
    }
    /// True where a process of that number is this program, running.
    fn runs(&self, _process: u32) -> bool {
        false
    }
    /// Today, ISO 8601: "2026-11-25".
    fn today(&self) -> String;
}
