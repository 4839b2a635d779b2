//! The real world.

use std::{
    ffi::OsString,
    fs,
    io::{self, BufWriter, Read, Write},
    path::{Path, PathBuf},
    time::{Duration, SystemTime, UNIX_EPOCH},
};

use super::{CachedFile, Held, OutFile, World};

/// Largest file that is read: far beyond any mesh a bed can hold.
const MOST_BYTES: u64 = 4 << 30;
/// Room made for a file before it is read; beyond that, only what really comes takes memory.
const AT_FIRST: u64 = 64 << 20;

/// Beginning and ending of temporary files' names.
const TEMPORARY: (&str, &str) = (".stonehand-", ".tmp");
/// A temporary file is taken for left behind after so long without a lock.
const JUST_MADE: Duration = Duration::from_secs(2);
/// Symbolic links followed one after another, as many as Linux does: `path_resolution(7)`.
const MOST_LINKS: usize = 40;
const DENIED: io::ErrorKind = io::ErrorKind::PermissionDenied;

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

    fn is_folder(&self, path: &Path) -> bool {
        path.is_dir()
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

/// Where a path leads by symbolic links, whether or not something is there.
fn followed(path: &Path) -> PathBuf {
    let mut at = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        let Ok(to) = fs::read_link(&at) else { break };
        at = at.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    at
}

/// Gives a file the owner and mode of the one at `old`, where there is one. What is not allowed is left as it is: only
/// its owner or an administrator may give a file away.
fn keep_rights(file: &fs::File, old: &Path) {
    let Ok(was) = fs::metadata(old) else { return };
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let is = file.metadata().ok().map(|m| (m.uid(), m.gid()));
        if is != Some((was.uid(), was.gid())) && fchown(file, Some(was.uid()), Some(was.gid())).is_err() {
            let _ = fchown(file, None, Some(was.gid()));
        }
    }
    let _ = file.set_permissions(was.permissions());
}

/// A file opened for reading and its length as the system states it. Only regular files are opened: a pipe or a device may
/// never answer, or never end.
fn open(path: &Path, most_bytes: u64) -> io::Result<(fs::File, u64)> {
    // Before it is opened, because opening a pipe waits for somebody to write to it; and after, because it may be another by then.
    regular(&fs::metadata(path)?, most_bytes)?;
    let file = fs::File::open(path)?;
    let size = regular(&file.metadata()?, most_bytes)?;
    Ok((file, size))
}

/// The length of a regular file within the limit.
fn regular(about: &fs::Metadata, most_bytes: u64) -> io::Result<u64> {
    if about.is_dir() {
        return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder"));
    }
    if !about.is_file() {
        let why = format!("it is {}, not a file; save its contents as a file first", kind(about.file_type()));
        return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
    }
    if about.len() > most_bytes { Err(too_large(most_bytes)) } else { Ok(about.len()) }
}

/// What something is that is neither a file nor a folder.
fn kind(what: fs::FileType) -> &'static str {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if what.is_fifo() {
            return "a pipe";
        }
        if what.is_socket() {
            return "a socket";
        }
        if what.is_char_device() || what.is_block_device() {
            return "a device";
        }
    }
    let _ = what;
    "something else"
}

fn too_large(most_bytes: u64) -> io::Error {
    let (size, unit) = match most_bytes {
        b if b >= 1 << 30 => (b >> 30, "GB"),
        b if b >= 1 << 20 => (b >> 20, "MB"),
        b if b >= 1 << 10 => (b >> 10, "kB"),
        b => (b, "bytes"),
    };
    io::Error::new(io::ErrorKind::FileTooLarge, format!("it is larger than {size} {unit}"))
}

/// All bytes of a regular file. The bytes that really come are counted: a file may grow meanwhile, and some (those of the system
/// itself) state a length of 0.
fn read_at_most(path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
    let (file, size) = open(path, most_bytes)?;
    let mut bytes = Vec::new();
    bytes.try_reserve_exact(size.min(AT_FIRST) as usize)?;
    file.take(most_bytes.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most_bytes { Err(too_large(most_bytes)) } else { Ok(bytes) }
}

/// A file that fails once more comes out of it than may.
struct Limited {
    file: fs::File,
    left: u64,
}

impl Read for Limited {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        let n = self.file.read(to)?;
        self.left = self.left.checked_sub(n as u64).ok_or_else(|| too_large(MOST_BYTES))?;
        Ok(n)
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

    #[test]
    #[cfg(unix)]
    fn a_write_follows_links_and_keeps_mode_owner_and_umask() {
        use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
        let folder = tempfile::tempdir().expect("a temporary folder");
        let at = |name: &str| folder.path().join(name);
        let disk = Disk::default();
        let mode = |path: &Path| fs::metadata(path).expect("it is there").permissions().mode() & 0o777;
        // A new file is as any other program makes it here.
        fs::write(at("usual"), b"1").expect("a file");
        disk.write(&at("new"), b"1").expect("a new file");
        assert_eq!(mode(&at("new")), mode(&at("usual")));
        fs::set_permissions(at("new"), fs::Permissions::from_mode(0o640)).expect("a mode");
        // Only an administrator can give a file to somebody else.
        let given = chown(at("new"), Some(4321), Some(4322)).is_ok();
        fs::create_dir(at("below")).expect("a folder");
        symlink("../new", at("below/link")).expect("a link");
        symlink("below/link", at("link")).expect("a link");
        disk.write(&at("link"), b"two").expect("a write through links");
        assert!(fs::symlink_metadata(at("link")).expect("it is there").is_symlink());
        assert_eq!((fs::read(at("new")).expect("it is there"), mode(&at("new"))), (b"two".to_vec(), 0o640));
        if given {
            let about = fs::metadata(at("new")).expect("it is there");
            assert_eq!((about.uid(), about.gid()), (4321, 4322));
        }
        symlink("nowhere", at("dangling")).expect("a link");
        disk.write(&at("dangling"), b"3").expect("a write through a link to nothing");
        assert_eq!(fs::read(at("nowhere")).expect("it is there now"), b"3");
        assert!(!disk.write_protected(&at("new")));
        fs::set_permissions(at("new"), fs::Permissions::from_mode(0o444)).expect("a mode");
        assert!(disk.write_protected(&at("new")) && disk.write_protected(&at("link")));
    }

    #[test]
    fn what_killed_runs_left_is_swept_and_what_is_being_written_stays() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let disk = Disk::default();
        let long_ago = UNIX_EPOCH + Duration::from_secs(1_000_000);
        let made = |name: &str| {
            let file = fs::File::create(folder.path().join(name)).expect("a file");
            file.set_modified(long_ago).expect("a time can be set");
            file
        };
        drop(made(".stonehand-dead.tmp"));
        drop(made("notes.tmp"));
        let writing = made(".stonehand-alive.tmp");
        writing.try_lock().expect("nobody else holds it");
        fs::write(folder.path().join(".stonehand-fresh.tmp"), b"").expect("a file");
        disk.sweep(folder.path());
        let names = |s: &Disk| {
            let all = s.list(folder.path()).into_iter();
            all.map(|p| p.file_name().unwrap_or_default().to_string_lossy().into_owned()).collect::<Vec<_>>()
        };
        assert_eq!(names(&disk), [".stonehand-alive.tmp", ".stonehand-fresh.tmp", "notes.tmp"]);
        drop(writing);
        disk.sweep(folder.path());
        assert_eq!(names(&disk), [".stonehand-fresh.tmp", "notes.tmp"]);
    }

    #[test]
    fn a_lock_is_held_once_and_goes_with_its_holder() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (disk, path) = (Disk::default(), folder.path().join("a.lock"));
        let held = disk.lock(&path).expect("locks work here").expect("nobody holds it");
        assert!(disk.lock(&path).expect("locks work here").is_none());
        drop(held);
        assert!(disk.lock(&path).expect("locks work here").is_some());
    }

    fn refusal<T>(outcome: io::Result<T>) -> String {
        outcome.err().expect("it is refused").to_string()
    }

    /// A pipe nobody writes to, and devices without end: refused at once.
    #[test]
    #[cfg(unix)]
    fn only_regular_files_are_read() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let pipe = folder.path().join("pipe.stl");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().expect("mkfifo runs").success());
        let socket = folder.path().join("socket.stl");
        let _listener = std::os::unix::net::UnixListener::bind(&socket).expect("a socket");
        let (disk, zero) = (Disk::default(), Path::new("/dev/zero"));
        for (path, word) in [(&*pipe, "a pipe"), (&socket, "a socket"), (zero, "a device"), (folder.path(), "a folder")]
        {
            let all = [
                refusal(disk.read(path)),
                refusal(disk.read_small(path, 1 << 20)),
                refusal(disk.stream(path).map(|s| s.1)),
            ];
            assert!(all.iter().all(|why| why.contains(word)), "{word}: {all:?}");
        }
        // Through a link, too.
        let link = folder.path().join("link.stl");
        std::os::unix::fs::symlink(zero, &link).expect("a link");
        assert!(refusal(disk.read(&link)).contains("a device"));
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn bytes_are_counted_as_they_come() {
        // Files below /proc state a length of 0: proc(5).
        let (disk, path) = (Disk::default(), Path::new("/proc/self/status"));
        assert_eq!(fs::metadata(path).expect("it is there").len(), 0);
        let all = disk.read(path).expect("it can be read");
        assert!(all.starts_with(b"Name:") && all.len() > 200);
        let (mut stream, _) = disk.stream(path).expect("it can be opened");
        let mut streamed = String::new();
        stream.read_to_string(&mut streamed).expect("it can be read");
        assert!(streamed.starts_with("Name:"));
        assert_eq!(refusal(disk.read_small(path, 100)), "it is larger than 100 bytes");
    }

    #[test]
    fn a_file_over_the_limit_is_refused_before_it_is_read() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("large.stl");
        // A hole: it takes no room on the disk.
        fs::File::create(&path).and_then(|f| f.set_len(MOST_BYTES + 1)).expect("a file with a hole");
        let disk = Disk::default();
        assert_eq!(refusal(disk.read(&path)), "it is larger than 4 GB");
        assert_eq!(refusal(disk.stream(&path).map(|s| s.1)), "it is larger than 4 GB");
        assert_eq!(refusal(disk.read_small(&path, 64 << 20)), "it is larger than 64 MB");
        fs::write(&path, [7; 9]).expect("a small file");
        assert_eq!(disk.read_small(&path, 9).expect("just small enough"), [7; 9]);
    }
}
