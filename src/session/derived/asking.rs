//! Work asked for once, and stopped once nobody wants it any more.

use std::collections::BTreeSet;

use crate::{
    document::Job,
    session::{
        Session,
        derived::{
            keys::{MassKey, ProfileKey, mass_key, profile_key, wanted_footings},
            pending::Pending,
        },
    },
    work::{Request, TicketId},
};

impl Session {
    /// Submits work unless the same is under way already, or there is no time for it.
    pub(in crate::session) fn ask_once(&mut self, pending: Pending, request: impl FnOnce() -> Request) {
        if self.pending.values().any(|(_, p)| *p == pending) || !self.may_ask(&pending) {
            return;
        }
        let by = self.ends_by(&pending);
        let ticket = self.runner.submit_until(request(), 0, by);
        self.pending.insert(ticket.id, (ticket, pending));
    }

    /// Stops work on profiles, supports and footings that nobody asks for any more: with another recipe or pose, what was
    /// begun would only hold up what is wanted now.
    pub(super) fn stop_superseded(&self, job: &Job) {
        let wanted: BTreeSet<ProfileKey> = job.parts.iter().filter_map(|p| profile_key(job, p)).collect();
        let masses: BTreeSet<MassKey> = job.parts.iter().filter_map(|p| mass_key(job, p)).collect();
        let footings = std::cell::OnceCell::new();
        for (ticket, pending) in self.pending.values() {
            let stale = match pending {
                Pending::Profile(key) | Pending::Supports(key) => !wanted.contains(key),
                Pending::Mass(key) => !masses.contains(key),
                Pending::Footing(key) => !footings.get_or_init(|| wanted_footings(job)).contains(key),
                _ => false,
            };
            if stale {
                ticket.cancel();
            }
        }
    }

    /// True while outlines or profiles are still computed.
    pub fn preparing(&self) -> usize {
        self.pending.len()
    }

    /// How far the profile is that is computed now, 0 to 1.
    pub fn profile_progress(&self) -> Option<f64> {
        let (ticket, done) = self.profile_done?;
        self.pending.contains_key(&ticket).then_some(done)
    }

    /// Forgets who was asked for what was cancelled.
    pub(in crate::session) fn forget(&mut self, ticket: TicketId) -> Option<Pending> {
        self.pending.remove(&ticket).map(|(_, pending)| pending)
    }
}
