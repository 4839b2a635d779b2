//! The timeline, kept up to date.

use std::{collections::BTreeMap, sync::Arc};

use super::{
    Timeline,
    derive::{Basis, PrintTime},
};
use crate::{
    document::Job,
    session::{Session, findings::shifts},
};

impl Session {
    /// When the plates of the job run. Follows the job, the estimates as they come in, and the clock to the minute.
    pub fn timeline(&self) -> Option<&Timeline> {
        self.caches.timeline.as_ref().map(|(_, t)| t)
    }

    /// Brings the timeline and its findings up to date. While copies are dragged it stays as it was.
    pub(in crate::session) fn refresh_timeline(&mut self, job: &Arc<Job>) {
        if self.history.in_gesture() && self.caches.timeline.is_some() {
            return;
        }
        let basis = Basis { job: job.clone(), prints: self.prints(job), now: self.now() };
        if self.caches.timeline.as_ref().is_some_and(|(old, _)| *old == basis) {
            return;
        }
        let timeline = basis.timeline();
        self.caches.shift_findings = shifts::findings(job, &timeline);
        self.caches.timeline = Some((basis, timeline));
    }

    fn prints(&self, job: &Job) -> BTreeMap<crate::document::PlateId, PrintTime> {
        let of = |p: &crate::document::Plate| {
            let view = self.caches.views.get(&p.id);
            let time = match view.map(|v| (&v.estimate, &v.no_estimate)) {
                Some((Some(e), _)) => {
                    let spool = view.and_then(|v| v.spool);
                    let nominal = spool.and_then(|s| s.runs_out).map(|r| r.after_s);
                    let earliest = spool.and_then(|s| s.runs_out_earliest).map(|r| r.after_s);
                    PrintTime::Known(e.time_s, nominal, earliest)
                }
                Some((None, Some(why))) => PrintTime::Unknown(why.clone()),
                _ => PrintTime::Pending,
            };
            (p.id, time)
        };
        let runs = job.plates.iter().filter(|p| !p.copies.is_empty() && p.run.ended.is_none());
        runs.map(of).collect()
    }
}
