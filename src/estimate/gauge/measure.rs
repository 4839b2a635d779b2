//! Reads a file through and measures it.

use std::io::{self, Read};

use super::{Basis, Measured, machine::Machine, words::Words};
use crate::watch::Watch;

/// Why a file cannot be measured.
#[derive(Debug, thiserror::Error)]
pub enum GaugeError {
    /// It was told to stop.
    #[error("cancelled")]
    Cancelled,
    /// The file cannot be read to its end.
    #[error("cannot be read: {0}")]
    Read(#[from] io::Error),
    /// There is nothing in it.
    #[error("is empty: it holds no machine code")]
    Empty,
    /// Much of it belongs to no word.
    #[error(
        "is not machine code: {noise} of its {bytes} bytes belong to no word; choose the file that your toolpath program wrote"
    )]
    Noise {
        /// Bytes that belong to no word, comment or text.
        noise: u64,
        /// All bytes.
        bytes: u64,
    },
    /// It is text, but nothing moves.
    #[error("is not machine code: nothing in it moves a machine; choose the file that your toolpath program wrote")]
    NoMoves,
}

/// Bytes read at once: few enough that being cancelled is noticed soon.
pub(super) const PIECE: usize = 1 << 18;
/// Where more than one byte in so many belongs to nothing, it is no machine code.
const NOISE_SHARE: u64 = 20;

/// Measures a file of machine code.
#[derive(Debug)]
pub struct Gauge<'a> {
    words: Words,
    machine: Machine<'a>,
}

impl<'a> Gauge<'a> {
    /// Nothing read yet.
    pub fn new(basis: &'a Basis) -> Self {
        Self { words: Words::new(), machine: Machine::new(basis) }
    }
    /// Takes the next bytes; where they are cut makes no difference.
    pub fn feed(&mut self, bytes: &[u8]) {
        self.words.feed(bytes, &mut self.machine);
    }
    /// Takes a file to its end; `size` is its length in bytes, for the progress alone.
    pub(super) fn read(&mut self, file: &mut dyn Read, size: u64, watch: &dyn Watch) -> Result<(), GaugeError> {
        let mut piece = vec![0; PIECE];
        let mut done = 0u64;
        loop {
            if watch.cancelled() {
                return Err(GaugeError::Cancelled);
            }
            let n = match file.read(&mut piece) {
                Ok(0) => return Ok(()),
                Ok(n) => n,
                Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
                Err(e) => return Err(e.into()),
            };
            self.feed(&piece[..n]);
            done += n as u64;
            watch.progress((done as f64 / size.max(1) as f64).min(1.0), "measuring");
        }
    }
    /// The file is over.
    ///
    /// # Errors
    /// [`GaugeError::Empty`], [`GaugeError::Noise`], [`GaugeError::NoMoves`].
    pub fn finish(mut self) -> Result<Measured, GaugeError> {
        self.words.finish(&mut self.machine);
        let Words { bytes, lines, longest, noise, .. } = self.words;
        if bytes == 0 {
            return Err(GaugeError::Empty);
        }
        if noise > bytes / NOISE_SHARE {
            return Err(GaugeError::Noise { noise, bytes });
        }
        let mut m = self.machine.finish();
        if m.moves == 0 {
            return Err(GaugeError::NoMoves);
        }
        (m.bytes, m.lines) = (bytes, lines);
        (m.doubts.noise, m.doubts.longest_line) = (noise, longest);
        Ok(m)
    }
    /// Bytes that are held between two pieces.
    #[cfg(test)]
    pub(super) fn held(&self) -> usize {
        size_of::<Self>() + self.machine.held()
    }
    /// The most that it can be.
    #[cfg(test)]
    pub(super) const fn most_held() -> usize {
        size_of::<Self>() + Machine::most_held()
    }
}

/// Measures a file; `size` is its length in bytes, for the progress alone. Memory is bounded whatever the file: pieces of 256 KiB,
/// the planner's strides, a line a layer.
///
/// # Errors
/// See [`GaugeError`].
pub fn measure(file: &mut dyn Read, size: u64, basis: &Basis, watch: &dyn Watch) -> Result<Measured, GaugeError> {
    let mut gauge = Gauge::new(basis);
    gauge.read(file, size, watch)?;
    gauge.finish()
}
