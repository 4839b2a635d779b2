//! SHA-256 of what is written and read, bit by bit.

use std::{
    io::{self, Read as _, Write},
    path::Path,
};

use sha2::{Digest as _, Sha256};

use crate::{session::World, work::hex};

/// Bytes read at once.
const STEP: usize = 1 << 16;

/// Passes bytes on and counts them into a hash.
pub(super) struct Hashing<'a, W: Write + ?Sized> {
    out: &'a mut W,
    hash: Sha256,
}

impl<'a, W: Write + ?Sized> Hashing<'a, W> {
    pub(super) fn new(out: &'a mut W) -> Self {
        Self { out, hash: Sha256::new() }
    }
    /// SHA-256 of all that was written, in lower-case hex.
    pub(super) fn hex(self) -> String {
        hex(&self.hash.finalize())
    }
}

impl<W: Write + ?Sized> Write for Hashing<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let n = self.out.write(bytes)?;
        self.hash.update(bytes.get(..n).unwrap_or(bytes));
        Ok(n)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// SHA-256 of a file in lower-case hex. A file over the limit of all files is refused before it is read.
pub(super) fn hash_of(world: &dyn World, path: &Path) -> io::Result<String> {
    let (mut from, _) = world.stream(path)?;
    let mut hash = Sha256::new();
    let mut bytes = vec![0; STEP];
    loop {
        match from.read(&mut bytes)? {
            0 => return Ok(hex(&hash.finalize())),
            n => hash.update(&bytes[..n]),
        }
    }
}
