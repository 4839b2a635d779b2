//! A watch that also cancels when the time is up.

use std::time::{Duration, Instant};

use crate::watch::Watch;

/// Passes everything on to another watch, and cancels by itself after a time.
pub struct Deadline<'a, T: ?Sized> {
    inner: &'a dyn Watch<T>,
    start: Instant,
    limit: Option<Duration>,
    span: (f64, f64),
}

impl<'a, T: ?Sized> Deadline<'a, T> {
    /// Time counts from now.
    pub fn new(inner: &'a dyn Watch<T>, limit: Option<Duration>) -> Self {
        Self { inner, start: Instant::now(), limit, span: (0.0, 1.0) }
    }

    /// One of several pieces of work: its progress is the whole's between two shares, 0 to 1.
    #[must_use]
    pub fn within(mut self, from: f64, to: f64) -> Self {
        self.span = (from, to);
        self
    }
}

impl<T: ?Sized> Watch<T> for Deadline<'_, T> {
    fn cancelled(&self) -> bool {
        self.inner.cancelled() || self.limit.is_some_and(|l| self.start.elapsed() >= l)
    }
    fn progress(&self, done: f64, what: &str) {
        let spent = self.limit.map_or(0.0, |l| self.start.elapsed().as_secs_f64() / l.as_secs_f64().max(1e-9));
        let (from, to) = self.span;
        self.inner.progress(from + (to - from) * done.max(spent).clamp(0.0, 1.0), what);
    }
    fn improved(&self, best: &T) {
        self.inner.improved(best);
    }
}
