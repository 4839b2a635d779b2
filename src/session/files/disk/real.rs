//! The real file system and clock.

use std::{
    ffi::OsString,
    fs,
    io::{self, BufWriter, Read, Write},
    path::{Path, PathBuf},
    time::{Duration, SystemTime, UNIX_EPOCH},
};

use crate::session::{
    CachedFile, Held, OutFile, World,
    files::disk::{
        date::date,
        regular_file::{Limited, MOST_BYTES, open, read_at_most},
        replaced::{followed, keep_rights},
    },
};

/// Beginning and ending of temporary files' names.
const TEMPORARY: (&str, &str) = (".stonehand-", ".tmp");

/// A temporary file is taken for left behind after so long without a lock.
const JUST_MADE: Duration = Duration::from_secs(2);

const DENIED: io::ErrorKind = io::ErrorKind::PermissionDenied;

/// The sample job, from a folder above the program: where it was built, and where it is installed.
const SAMPLE_JOBS: [&str; 2] = ["samples/hive-fittings.stonehand", "share/stonehand/samples/hive-fittings.stonehand"];

/// The real file system and clock.
#[derive(Debug, Clone, Default)]
pub struct Disk {
    /// In place of the user's own data folder.
    pub own: Option<PathBuf>,
    /// Keeps nothing of the program's own and reads none of it.
    pub bare: bool,
}

impl Disk {
    /// For the command line: what it does depends on its words and files alone.
    pub fn plain() -> Self {
        Self { own: None, bare: true }
    }
}

impl World for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        read_at_most(path, MOST_BYTES)
    }

    fn stream(&self, path: &Path) -> io::Result<(Box<dyn Read + Send>, u64)> {
        let (file, size) = open(path, MOST_BYTES)?;
        Ok((Box::new(Limited { file, left: MOST_BYTES }), size))
    }

    fn read_small(&self, path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
        read_at_most(path, most_bytes)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let path = &followed(path);
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if !folder.is_dir() {
            return Err(io::Error::new(io::ErrorKind::NotFound, format!("there is no folder {}", folder.display())));
        }
        let mut beside = tempfile::Builder::new();
        beside.prefix(TEMPORARY.0).suffix(TEMPORARY.1);
        // A new file gets the usual rights, less the umask, not a temporary file's.
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            beside.permissions(fs::Permissions::from_mode(0o666));
        }
        // The kind alone: nobody asked for the temporary file that the whole error names.
        let mut file = beside.tempfile_in(folder).map_err(|e| io::Error::from(e.kind()))?;
        // Held until the file is closed, so that nobody takes it for one that was left behind.
        let _ = file.as_file().try_lock();
        file.write_all(bytes)?;
        keep_rights(file.as_file(), path);
        file.as_file().sync_all()?;
        file.persist(path).map_err(|e| e.error)?;
        Ok(())
    }

    fn create(&self, path: &Path) -> io::Result<Box<dyn OutFile>> {
        Ok(Box::new(Out(BufWriter::with_capacity(1 << 18, fs::File::create(path)?))))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        match fs::remove_dir_all(path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
            _ => Ok(()),
        }
    }

    fn lock(&self, path: &Path) -> io::Result<Option<Held>> {
        let file = fs::File::options().create(true).truncate(false).write(true).open(path)?;
        match file.try_lock() {
            Ok(()) => Ok(Some(Held::new(file))),
            Err(fs::TryLockError::WouldBlock) => Ok(None),
            Err(fs::TryLockError::Error(why)) => Err(why),
        }
    }

    fn take_after(&self, new: &Path, old: &Path) {
        if let Ok(file) = fs::File::open(new) {
            keep_rights(&file, old);
        }
    }

    fn write_protected(&self, path: &Path) -> bool {
        let Ok(about) = fs::metadata(path) else { return false };
        // Who may write everything is still asked about a file that nobody is to write.
        let refused = || fs::File::options().append(true).open(path).is_err_and(|e| e.kind() == DENIED);
        about.is_file() && (about.permissions().readonly() || refused())
    }

    fn sweep(&self, folder: &Path) {
        for path in self.list(folder) {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let ours = name.starts_with(TEMPORARY.0) && name.ends_with(TEMPORARY.1);
            let Some(about) = fs::symlink_metadata(&path).ok().filter(|m| ours && m.is_file()) else { continue };
            // A file just made may not be locked yet.
            let idle = about.modified().ok().and_then(|t| t.elapsed().ok()).is_some_and(|t| t > JUST_MADE);
            if idle && fs::File::open(&path).is_ok_and(|f| f.try_lock().is_ok()) {
                // What cannot be removed stays: it is in nobody's way.
                let _ = fs::remove_file(&path);
            }
        }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        match fs::remove_file(path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
            _ => Ok(()),
        }
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        fs::create_dir_all(path)
    }

    fn list(&self, folder: &Path) -> Vec<PathBuf> {
        // The working folder's path is empty, and names in it stay as they are.
        let place = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let Ok(entries) = fs::read_dir(place) else { return Vec::new() };
        let mut all: Vec<PathBuf> = entries.filter_map(|e| e.ok().map(|e| folder.join(e.file_name()))).collect();
        all.sort();
        all
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }

    fn is_link(&self, path: &Path) -> bool {
        fs::symlink_metadata(path).is_ok_and(|m| m.is_symlink())
    }

    fn is_folder(&self, path: &Path) -> bool {
        path.is_dir()
    }

    fn sample_job(&self) -> Option<PathBuf> {
        // Beside the program, or above it where it was built.
        let program = std::env::current_exe().ok()?;
        let above = program.ancestors().skip(1).take(4);
        above.flat_map(|f| SAMPLE_JOBS.map(|sample| f.join(sample))).find(|p| p.is_file())
    }

    fn runs(&self, process: u32) -> bool {
        // Where there is no /proc nobody is known to run.
        let program =
            |of: String| fs::read_link(format!("/proc/{of}/exe")).ok().and_then(|p| p.file_name().map(OsString::from));
        program(process.to_string()).is_some_and(|other| Some(other) == program("self".into()))
    }

    fn own_folder(&self) -> Option<PathBuf> {
        if self.bare {
            return None;
        }
        self.own
            .clone()
            .or_else(|| directories::ProjectDirs::from("", "", "stonehand").map(|d| d.data_dir().to_path_buf()))
    }

    fn cache_folder(&self) -> Option<PathBuf> {
        if self.bare {
            return None;
        }
        // Who names a folder for the program's own files gets the cache there too.
        self.own
            .as_ref()
            .map(|own| own.join("cache"))
            .or_else(|| directories::ProjectDirs::from("", "", "stonehand").map(|d| d.cache_dir().to_path_buf()))
    }

    fn cached_files(&self, folder: &Path) -> Vec<CachedFile> {
        let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
        entries
            .filter_map(|e| {
                let e = e.ok()?;
                let about = e.metadata().ok().filter(fs::Metadata::is_file)?;
                Some(CachedFile { path: e.path(), bytes: about.len(), used: about.modified().unwrap_or(UNIX_EPOCH) })
            })
            .collect()
    }

    fn touch(&self, path: &Path) -> io::Result<()> {
        fs::File::options().append(true).open(path)?.set_modified(SystemTime::now())
    }

    fn today(&self) -> String {
        let days = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs() / 86_400);
        date(days.cast_signed())
    }
}

/// A file that is written bit by bit.
struct Out(BufWriter<fs::File>);

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl OutFile for Out {
    fn finish(mut self: Box<Self>) -> io::Result<()> {
        self.0.flush()?;
        self.0.get_ref().sync_all()
    }
}
