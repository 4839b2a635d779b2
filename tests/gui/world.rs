//! Files in memory, so that tests touch no disk and no person's settings.

use std::{
    collections::BTreeMap,
    io,
    path::{Component, Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
};

use stonehand::session::World;

/// Files in memory; clones share them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Files(Arc<Mutex<BTreeMap<PathBuf, Vec<u8>>>>);

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
        self.all().insert(path.into(), bytes);
    }
    /// A file's bytes.
    pub(crate) fn get(&self, path: impl AsRef<Path>) -> Option<Vec<u8>> {
        self.all().get(path.as_ref()).cloned()
    }
    fn all(&self) -> std::sync::MutexGuard<'_, BTreeMap<PathBuf, Vec<u8>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
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
    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        self.put(path, bytes.to_vec());
        Ok(())
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.all().remove(path);
        Ok(())
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
