//! Which work, and how to stop it.

use std::{
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
    time::Instant,
};

/// Tells one piece of work from another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TicketId(pub u64);

/// Handed out for each request.
#[derive(Debug, Clone)]
pub struct Ticket {
    /// Which work.
    pub id: TicketId,
    /// What problem it solves: if the problem at hand has another fingerprint by the end, the answer is for another
    /// problem.
    pub fingerprint: u64,
    cancel: Arc<AtomicBool>,
    /// When it is cancelled by itself.
    by: Option<Instant>,
}

impl Ticket {
    /// A ticket whose work has not been cancelled, and is by itself at a time.
    pub(super) fn new(id: u64, fingerprint: u64, by: Option<Instant>) -> Self {
        Self { id: TicketId(id), fingerprint, cancel: Arc::default(), by }
    }
    /// Tells the work to stop; it ends soon, with its best answer so far.
    pub fn cancel(&self) {
        self.cancel.store(true, Ordering::Relaxed);
    }
    /// True once cancelled, or when its time is up.
    pub fn cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed) || self.by.is_some_and(|by| Instant::now() >= by)
    }
}
