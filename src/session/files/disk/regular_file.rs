//! Regular files read, and nothing that may never answer or never end.

use std::{
    fs,
    io::{self, Read},
    path::Path,
};

/// Largest file that is read: far beyond any mesh a bed can hold.
pub(super) const MOST_BYTES: u64 = 4 << 30;

/// Room made for a file before it is read; beyond that, only what really comes takes memory.
const AT_FIRST: u64 = 64 << 20;

/// A file opened for reading and its length as the system states it. Only regular files are opened: a pipe or a device may
/// never answer, or never end.
pub(super) fn open(path: &Path, most_bytes: u64) -> io::Result<(fs::File, u64)> {
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
pub(super) fn read_at_most(path: &Path, most_bytes: u64) -> io::Result<Vec<u8>> {
    let (file, size) = open(path, most_bytes)?;
    let mut bytes = Vec::new();
    bytes.try_reserve_exact(size.min(AT_FIRST) as usize)?;
    file.take(most_bytes.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most_bytes { Err(too_large(most_bytes)) } else { Ok(bytes) }
}

/// A file that fails once more comes out of it than may.
pub(super) struct Limited {
    pub(super) file: fs::File,
    pub(super) left: u64,
}

impl Read for Limited {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        let n = self.file.read(to)?;
        self.left = self.left.checked_sub(n as u64).ok_or_else(|| too_large(MOST_BYTES))?;
        Ok(n)
    }
}
