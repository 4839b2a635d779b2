//! A session with a time limit: the layout first, then as much about it as the time allows.

use std::time::{Duration, Instant};

use crate::session::{Session, derived::pending::Pending, time_limit::TimeLimit};

impl Session {
    /// The search ends by a time, whatever came before it, and what is told of its layout by another. Until [`Self::tell_now`]
    /// nothing is worked out that no layout needs: profiles, masses, footings.
    pub fn limit_time(&mut self, search_by: Instant, tell_by: Instant) {
        self.time_limit = Some(TimeLimit { search_by, tell_by, telling: false, cut_short: false });
    }

    /// Works out what is told of the layout, as far as the time reaches. True when all of it is known.
    pub fn tell_now(&mut self) -> bool {
        let Some(h) = &mut self.time_limit else { return true };
        h.telling = true;
        self.refresh();
        self.tick();
        self.time_limit.is_none_or(|h| !h.cut_short)
    }

    /// May this be worked out now? Meshes and outlines always: no layout without them.
    pub(super) fn may_ask(&mut self, pending: &Pending) -> bool {
        let Some(h) = self.time_limit.as_mut().filter(|_| is_told(pending)) else { return true };
        let may = h.telling && Instant::now() < h.tell_by;
        h.cut_short |= h.telling && !may;
        may
    }

    /// When this work ends by itself.
    pub(super) fn ends_by(&self, pending: &Pending) -> Option<Instant> {
        self.time_limit.filter(|_| is_told(pending)).map(|h| h.tell_by)
    }

    /// What is left for a search that may take `limit`.
    pub(super) fn search_time(&self, limit: Option<Duration>) -> Option<Duration> {
        let left = self.time_limit.map(|h| h.search_by.saturating_duration_since(Instant::now()));
        match (limit, left) {
            (Some(limit), Some(left)) => Some(limit.min(left)),
            (limit, left) => limit.or(left),
        }
    }
}

/// Of use for telling about a layout only.
fn is_told(pending: &Pending) -> bool {
    matches!(
        pending,
        Pending::Profile(_)
            | Pending::Supports(_)
            | Pending::Mass(_)
            | Pending::Judged(_)
            | Pending::Poses(_)
            | Pending::PoseViews(_)
            | Pending::Footing(_)
            | Pending::Compared(_)
    )
}
