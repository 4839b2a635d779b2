//! The world outside: files and the calendar. Tests put their own in its place.

use std::{
    io::{self, Read, Write},
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

/// A file that is written bit by bit.
pub trait OutFile: Write + Send {
    /// Makes sure that every byte is on the disk, and closes the file.
    fn finish(self: Box<Self>) -> io::Result<()>;
}

/// A lock that is held for as long as this lives, and at most for as long as the program runs.
pub struct Held(Box<dyn std::any::Any + Send + Sync>);

impl Held {
    /// The lock goes when `guard` does.
    pub fn new(guard: impl std::any::Any + Send + Sync) -> Self {
        Self(Box::new(guard))
    }
}

impl std::fmt::Debug for Held {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Held").field(&self.0.type_id()).finish()
    }
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
    /// Writes a file atomically: a temporary file beside it, flushed, then renamed over it. A symbolic link is followed;
    /// mode and owner of what was there stay.
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Removes a file; it is no error where there is none.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// A new file to be written bit by bit, in place of any that is there. Not atomic: for files beside their place.
    fn create(&self, path: &Path) -> io::Result<Box<dyn OutFile>>;
    /// Moves a file within its disk, in place of any file of the new name.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Removes a folder and all that is in it; it is no error where there is none.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
    /// Takes the lock that a file stands for, making the file; `None` where somebody else holds it.
    fn lock(&self, path: &Path) -> io::Result<Option<Held>>;
    /// Gives a new file the mode and owner of the one it will replace, as far as that is allowed.
    fn take_after(&self, _new: &Path, _old: &Path) {}
    /// True where a file is marked as not to be written, or belongs to somebody who keeps it.
    fn write_protected(&self, _path: &Path) -> bool {
        false
    }
    /// Removes what writes that were cut off left in a folder.
    fn sweep(&self, _folder: &Path) {}
    /// Makes a folder and those above it.
    fn make_folder(&self, path: &Path) -> io::Result<()>;
    /// Files in a folder, by name.
    fn list(&self, folder: &Path) -> Vec<PathBuf>;
    /// True where a file or folder is.
    fn exists(&self, path: &Path) -> bool;
    /// True where a name is a link to something else.
    fn is_link(&self, _path: &Path) -> bool {
        false
    }
    /// True where a folder is.
    fn is_folder(&self, path: &Path) -> bool;
    /// Where this program keeps its own small files (shop, recent files, recovery), `None` where there is no place.
    fn own_folder(&self) -> Option<PathBuf>;
    /// Where this program keeps what it can compute again, `None` where nothing is kept. Anybody may empty it at any time.
    fn cache_folder(&self) -> Option<PathBuf>;
    /// Files in a folder, with their sizes and times.
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
    /// The time now.
    fn now(&self) -> SystemTime {
        SystemTime::now()
    }
    /// Today, ISO 8601: "2026-11-25".
    fn today(&self) -> String;
}
