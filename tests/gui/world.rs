//! Files in memory, so that tests touch no disk and no person's settings.

use std::{
    collections::{BTreeMap, BTreeSet},
    io::{self, Write},
    path::{Component, Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
    time::{Duration, SystemTime, UNIX_EPOCH},
};

use stonehand::session::{CachedFile, Held, OutFile, World};

/// Files in memory; clones share them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Files(Arc<Mutex<BTreeMap<PathBuf, File>>>, Locks);

/// Locks that are held.
type Locks = Arc<Mutex<BTreeSet<PathBuf>>>;

/// Holds a lock.
struct Guard(Locks, PathBuf);

impl Drop for Guard {
    fn drop(&mut self) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.1);
    }
}

/// A file that is written bit by bit: there once it is finished.
struct Out(Files, PathBuf, Vec<u8>);

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.2.extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl OutFile for Out {
    fn finish(self: Box<Self>) -> io::Result<()> {
        self.0.put(self.1, self.2);
        Ok(())
    }
}

/// A file and when it was last used, in uses of any file.
#[derive(Debug)]
struct File {
    bytes: Vec<u8>,
    used: u64,
}

impl Files {
    /// The sample workshop's files in `/shop`.
    pub(crate) fn samples() -> Self {
        let files = Self::default();
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
        for entry in std::fs::read_dir(folder).expect("the samples are there").flatten() {
            if entry.path().is_file() {
                let bytes = std::fs::read(entry.path()).expect("a sample can be read");
                files.put(Path::new("/shop").join(entry.file_name()), bytes);
            }
        }
        files
    }
    /// Puts a file there.
    pub(crate) fn put(&self, path: impl Into<PathBuf>, bytes: Vec<u8>) {
        let mut all = self.all();
        let used = next_use(&all);
        all.insert(path.into(), File { bytes, used });
    }
    /// A file's bytes.
    pub(crate) fn get(&self, path: impl AsRef<Path>) -> Option<Vec<u8>> {
        self.all().get(path.as_ref()).map(|f| f.bytes.clone())
    }
    fn all(&self) -> std::sync::MutexGuard<'_, BTreeMap<PathBuf, File>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn next_use(all: &BTreeMap<PathBuf, File>) -> u64 {
    all.values().map(|f| f.used + 1).max().unwrap_or(0)
}

/// Without `..`, as a disk reads it.
fn resolved(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        if part == Component::ParentDir {
            out.pop();
        } else {
            out.push(part);
        }
    }
    out
}

impl World for Files {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.get(resolved(path)).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }
    fn read_small(&self, path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
        let bytes = self.read(path)?;
        if bytes.len() as u64 > most_bytes { Err(io::Error::from(io::ErrorKind::FileTooLarge)) } else { Ok(bytes) }
    }
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.put(path, bytes.to_vec());
        Ok(())
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.all().remove(path);
        Ok(())
    }
    fn create(&self, path: &Path) -> io::Result<Box<dyn OutFile>> {
        Ok(Box::new(Out(self.clone(), path.to_path_buf(), Vec::new())))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        let file = self.all().remove(from).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?;
        self.all().insert(to.to_path_buf(), file);
        Ok(())
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.all().retain(|p, _| !p.starts_with(path));
        Ok(())
    }
    fn lock(&self, path: &Path) -> io::Result<Option<Held>> {
        if !self.1.lock().unwrap_or_else(PoisonError::into_inner).insert(path.to_path_buf()) {
            return Ok(None);
        }
        self.all().entry(path.to_path_buf()).or_insert(File { bytes: Vec::new(), used: 0 });
        Ok(Some(Held::new(Guard(self.1.clone(), path.to_path_buf()))))
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.all().keys().any(|p| p != path && p.starts_with(path))
    }
    fn now(&self) -> SystemTime {
        UNIX_EPOCH + Duration::from_secs(next_use(&self.all()) + 120)
    }
    fn make_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }
    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        self.all().keys().filter(|p| p.parent() == Some(folder)).cloned().collect()
    }
    fn exists(&self, path: &Path) -> bool {
        self.all().keys().any(|p| p.starts_with(path))
    }
    fn own_folder(&self) -> Option<PathBuf> {
        Some("/own".into())
    }
    fn cache_folder(&self) -> Option<PathBuf> {
        Some("/cache".into())
    }
    fn cached_files(&self, folder: &Path) -> Vec<CachedFile> {
        let file = |(path, f): (&PathBuf, &File)| CachedFile {
            path: path.clone(),
            bytes: f.bytes.len() as u64,
            used: UNIX_EPOCH + Duration::from_secs(f.used),
        };
        self.all().iter().filter(|(p, _)| p.parent() == Some(folder)).map(file).collect()
    }
    fn touch(&self, path: &Path) -> io::Result<()> {
        let mut all = self.all();
        let used = next_use(&all);
        all.get_mut(path).ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))?.used = used;
        Ok(())
    }
    fn sample_job(&self) -> Option<PathBuf> {
        Some("/shop/hive-fittings.stonehand".into()).filter(|p: &PathBuf| self.exists(p))
    }
    fn runs(&self, process: u32) -> bool {
        self.exists(Path::new(&format!("/running/{process}")))
    }
    fn today(&self) -> String {
        "2026-11-25".into()
    }
}
