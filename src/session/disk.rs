//! The real world.

use std::{
    ffi::OsString,
    fs,
    io::{self, Read, Write},
    path::{Path, PathBuf},
    time::{SystemTime, UNIX_EPOCH},
};

use super::{CachedFile, World};

/// Largest file read at once: far beyond any mesh a bed can hold.
const MOST_BYTES: u64 = 4 << 30;

/// The sample job, from the folder that the program came in.
const SAMPLE_JOB: &str = "samples/hive-fittings.stonehand";

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
        let about = fs::metadata(path)?;
        if about.is_dir() {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder"));
        }
        if about.len() > MOST_BYTES {
            return Err(io::Error::new(io::ErrorKind::FileTooLarge, "it is larger than 4 GB"));
        }
        fs::read(path)
    }

    fn stream(&self, path: &Path) -> io::Result<(Box<dyn Read + Send>, u64)> {
        let about = fs::metadata(path)?;
        if about.is_dir() {
            return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder"));
        }
        Ok((Box::new(fs::File::open(path)?), about.len()))
    }

    fn read_small(&self, path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
        let about = fs::metadata(path)?;
        if !about.is_file() || about.len() > most_bytes {
            return Err(io::Error::from(io::ErrorKind::FileTooLarge));
        }
        let mut bytes = Vec::new();
        // It may grow meanwhile.
        fs::File::open(path)?.take(most_bytes).read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if !folder.is_dir() {
            return Err(io::Error::new(io::ErrorKind::NotFound, format!("there is no folder {}", folder.display())));
        }
        // The kind alone: nobody asked for the temporary file that the whole error names.
        let made = tempfile::Builder::new().prefix(".stonehand-").suffix(".tmp").tempfile_in(folder);
        let mut file = made.map_err(|e| io::Error::from(e.kind()))?;
        file.write_all(bytes)?;
        // What is there already keeps its rights; a new file gets the usual ones, not a temporary file's.
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(path).map_or(0o644, |m| m.permissions().mode());
            file.as_file().set_permissions(fs::Permissions::from_mode(mode))?;
        }
        file.as_file().sync_all()?;
        file.persist(path).map_err(|e| e.error)?;
        Ok(())
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

    fn sample_job(&self) -> Option<PathBuf> {
        // Beside the program, or above it where it was built.
        let program = std::env::current_exe().ok()?;
        program.ancestors().skip(1).take(4).map(|f| f.join(SAMPLE_JOB)).find(|p| p.is_file())
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

/// ISO 8601 date of a day counted from 1970-01-01. Source: H. Hinnant, chrono-compatible low-level date algorithms
/// (proleptic Gregorian calendar), from memory.
fn date(days: i64) -> String {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let day = doy - (153 * mp + 2) / 5 + 1;
    let month = if mp < 10 { mp + 3 } else { mp - 9 };
    let year = yoe + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_of_known_days() {
        // Source: POSIX epoch, and `date -d @1795564800` of GNU coreutils.
        for (days, want) in [(0, "1970-01-01"), (59, "1970-03-01"), (11_016, "2000-02-29"), (20_782, "2026-11-25")] {
            assert_eq!(date(days), want);
        }
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn this_process_runs_and_others_do_not() {
        // Linux numbers processes up to 2^22: proc(5), pid_max.
        let disk = Disk::default();
        assert!(disk.runs(std::process::id()));
        assert!(!disk.runs(u32::MAX));
    }

    #[test]
    fn a_write_replaces_whole_files_and_leaves_nothing_beside() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("a.txt");
        let disk = Disk::default();
        disk.write(&path, b"one").expect("first write");
        disk.write(&path, b"two").expect("second write");
        assert_eq!(disk.read(&path).expect("read back"), b"two");
        assert_eq!(disk.list(folder.path()), vec![path]);
    }
}
