//! A search watched as one of several pieces of a study.

use std::time::Instant;

use crate::{packing::Layout, watch::Watch};

/// Passes on how far the search is, and ends it when the study is cancelled or its time is up.
pub(super) struct Filling<'a> {
    /// Who watches the study.
    pub(super) watch: &'a dyn Watch,
    /// When the search ends at the latest.
    pub(super) until: Option<Instant>,
    /// The study's progress at the search's beginning and end.
    pub(super) span: (f64, f64),
    /// "brim 5 mm".
    pub(super) what: &'a str,
}

impl Watch<Layout> for Filling<'_> {
    fn cancelled(&self) -> bool {
        self.watch.cancelled() || self.until.is_some_and(|end| Instant::now() >= end)
    }
    fn progress(&self, done: f64, _: &str) {
        let (from, to) = self.span;
        self.watch.progress(from + (to - from) * done.clamp(0.0, 1.0), self.what);
    }
}
