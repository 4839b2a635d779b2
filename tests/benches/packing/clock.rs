//! When a try is stopped.

use std::{
    sync::{
        Mutex,
        atomic::{AtomicBool, Ordering},
    },
    time::{Duration, Instant},
};

use stonehand::{packing::Layout, watch::Watch};

/// Stops at a time, or at a layout that is good enough.
pub(crate) struct Clock {
    pub(crate) begun: Instant,
    limit: Duration,
    enough: Box<dyn Fn(&Layout) -> bool + Sync>,
    stop: AtomicBool,
    pub(crate) first: Mutex<Option<Duration>>,
    pub(crate) last: Mutex<Duration>,
}
impl Clock {
    pub(crate) fn new(seconds: f64, enough: impl Fn(&Layout) -> bool + Sync + 'static) -> Self {
        Self {
            begun: Instant::now(),
            limit: Duration::from_secs_f64(seconds),
            enough: Box::new(enough),
            stop: AtomicBool::new(false),
            first: Mutex::new(None),
            last: Mutex::default(),
        }
    }
    pub(crate) fn first() -> Self {
        Self::new(60.0, |_| true)
    }
}
impl Watch<Layout> for Clock {
    fn cancelled(&self) -> bool {
        self.stop.load(Ordering::Relaxed) || self.begun.elapsed() > self.limit
    }
    fn improved(&self, best: &Layout) {
        if (self.enough)(best) {
            self.stop.store(true, Ordering::Relaxed);
        }
        let now = self.begun.elapsed();
        if let (Ok(mut first), Ok(mut last)) = (self.first.lock(), self.last.lock()) {
            first.get_or_insert(now);
            *last = now;
        }
    }
}
