//! What long work is told to look at: whether it was cancelled, and whom to tell.

/// Handed to long work. `T` is what the work improves step by step (a layout, say).
///
/// Long work calls [`Watch::cancelled`] at least every 20 ms and returns early with its best result when it
/// answers true.
pub trait Watch<T: ?Sized = ()>: Sync {
    /// True once the work should stop. Cheap: an atomic load.
    fn cancelled(&self) -> bool;
    /// `done` in 0..=1, `what` in words for the progress line.
    fn progress(&self, done: f64, what: &str) {
        let _ = (done, what);
    }
    /// A better result than any before it.
    fn improved(&self, best: &T) {
        let _ = best;
    }
}

/// A watch that never cancels and tells nobody.
#[derive(Debug, Clone, Copy, Default)]
pub struct Quiet;

impl<T: ?Sized> Watch<T> for Quiet {
    fn cancelled(&self) -> bool {
        false
    }
}
