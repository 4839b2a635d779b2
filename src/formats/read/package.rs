//! Parts of a zip package, with limits.

use std::{
    collections::BTreeMap,
    io::{BufRead, BufReader, Cursor, Error, Read, Result as IoResult},
};

use zip::ZipArchive;

use super::read_error::{EXPORT_AGAIN, Trouble};

/// Unpacked parts may be this many times as large as the package …
const MOST_EXPANSION: u64 = 200;
/// … or this large at least …
const FREE_SIZE: u64 = 64 << 20;
/// … but never larger than this.
const MOST_SIZE: u64 = 4 << 30;
/// Most entries in the package.
const MOST_ENTRIES: usize = 20_000;
/// Most bytes between two XML events.
const MOST_EVENT: u64 = 1 << 20;

/// A package in memory, and how much may still be unpacked from it.
pub(super) struct Package<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    /// Names as stored, by the names in lower case without the slash in front.
    stored: BTreeMap<String, String>,
    left: u64,
}

impl<'a> Package<'a> {
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, Trouble> {
        let archive = ZipArchive::new(Cursor::new(bytes))
            .map_err(|e| Trouble::new(format!("the zip package is damaged ({e})"), EXPORT_AGAIN))?;
        if archive.len() > MOST_ENTRIES {
            let what = format!("the package has {} entries, more than {MOST_ENTRIES}", archive.len());
            return Err(Trouble::new(what, EXPORT_AGAIN));
        }
        let left = (bytes.len() as u64).saturating_mul(MOST_EXPANSION).clamp(FREE_SIZE, MOST_SIZE);
        let mut stored = BTreeMap::new();
        for name in archive.file_names().filter_map(Result::ok) {
            stored.entry(plain(&name)).or_insert_with(|| name.clone().into_owned());
        }
        Ok(Self { archive, stored, left })
    }

    /// Name as stored of the part, whose name may be written with a slash in front and in other case.
    pub(super) fn find(&self, part: &str) -> Option<String> {
        self.stored.get(&plain(part)).cloned()
    }

    /// Names of the parts that end in `suffix`.
    pub(super) fn ending_in(&self, suffix: &str) -> Vec<String> {
        let mut names: Vec<String> =
            self.stored.iter().filter(|(plain, _)| plain.ends_with(suffix)).map(|(_, stored)| stored.clone()).collect();
        names.sort();
        names
    }

    /// Hands a part to `f` as a stream that fails beyond the limits.
    pub(super) fn with<T>(
        &mut self,
        stored_name: &str,
        f: impl FnOnce(&mut Metered<'_>) -> Result<T, Trouble>,
    ) -> Result<T, Trouble> {
        let file = self
            .archive
            .by_name(stored_name)
            .map_err(|e| Trouble::new(format!("part {stored_name} cannot be unpacked ({e})"), EXPORT_AGAIN))?;
        let boxed: Box<dyn Read + '_> = Box::new(file);
        let mut metered = Metered { inner: BufReader::with_capacity(64 << 10, boxed), left: self.left, event: 0 };
        let result = f(&mut metered);
        self.left = metered.left;
        result
    }
}

fn plain(name: &str) -> String {
    name.trim_start_matches('/').to_ascii_lowercase()
}

/// A stream that fails when more comes out of it than allowed, altogether or since the last [`Metered::event_done`].
pub(super) struct Metered<'a> {
    inner: BufReader<Box<dyn Read + 'a>>,
    left: u64,
    event: u64,
}

impl Metered<'_> {
    /// An XML event is complete.
    pub(super) fn event_done(&mut self) {
        self.event = 0;
    }
}

impl Read for Metered<'_> {
    fn read(&mut self, buf: &mut [u8]) -> IoResult<usize> {
        let n = self.fill_buf()?.read(buf)?;
        self.consume(n);
        Ok(n)
    }
}

impl BufRead for Metered<'_> {
    fn fill_buf(&mut self) -> IoResult<&[u8]> {
        if self.left == 0 {
            return Err(Error::other("it unpacks to far more than its size"));
        }
        if self.event > MOST_EVENT {
            return Err(Error::other("a single piece of its XML is longer than 1 MB"));
        }
        self.inner.fill_buf()
    }
    fn consume(&mut self, n: usize) {
        self.left = self.left.saturating_sub(n as u64);
        self.event += n as u64;
        self.inner.consume(n);
    }
}
