//! The timeline, kept up to date.

use std::{collections::BTreeMap, sync::Arc};

use super::{
    SpoolOut, Timeline,
    derive::{Basis, PrintTime},
};
use crate::{
    document::{Job, Plate},
    session::{PlateView, Session, findings::shifts},
};

impl Session {
    /// When the plates of the job run. Follows the job, the estimates as they come in, and the clock to the minute.
    pub fn timeline(&self) -> Option<&Timeline> {
        self.caches.timeline.as_ref().map(|(_, t)| t)
    }

    /// Brings the timeline, what the spools come to along it, and its findings up to date. While copies are dragged the timeline stays as it was.
    pub(in crate::session) fn refresh_plan(&mut self, job: &Arc<Job>) {
        let stays = self.history.in_gesture() && self.caches.timeline.is_some();
        let is_new = !stays && self.refresh_timeline(job);
        self.refresh_spools(job);
        if !stays && (self.refresh_spool_outs(job) || is_new) {
            let findings = self.timeline().map(|t| shifts::findings(job, t)).unwrap_or_default();
            self.caches.shift_findings = findings;
        }
    }

    /// True where the timeline is another one.
    fn refresh_timeline(&mut self, job: &Arc<Job>) -> bool {
        let basis = Basis { job: job.clone(), prints: self.prints(job), now: self.now(), start: self.starts(job) };
        if self.caches.timeline.as_ref().is_some_and(|(old, _)| *old == basis) {
            return false;
        }
        let timeline = basis.timeline();
        self.caches.timeline = Some((basis, timeline));
        true
    }

    /// Says on the timeline where spools run out. True where that is another time or spool.
    fn refresh_spool_outs(&mut self, job: &Job) -> bool {
        let (views, timeline) = (&self.caches.views, &mut self.caches.timeline);
        let Some((_, t)) = timeline else { return false };
        let mut changed = false;
        for about in &mut t.about {
            let out = job.plate(about.plate).zip(views.get(&about.plate)).and_then(|(p, view)| spool_out(job, p, view));
            changed |= out != about.spool_out;
            about.spool_out = out;
        }
        changed
    }

    fn prints(&self, job: &Job) -> BTreeMap<crate::document::PlateId, PrintTime> {
        let of = |p: &Plate| {
            let view = self.caches.views.get(&p.id);
            let time = match view.map(|v| (&v.estimate, &v.no_estimate)) {
                Some((Some(e), _)) => PrintTime::Known(e.time_s),
                Some((None, Some(why))) => PrintTime::Unknown(why.clone()),
                _ => PrintTime::Pending,
            };
            (p.id, time)
        };
        let runs = job.plates.iter().filter(|p| !p.copies.is_empty() && p.run.ended.is_none());
        runs.map(of).collect()
    }
}

/// The spool of a plate that runs out first, of both carriages' where it is printed twice at once.
fn spool_out(job: &Job, plate: &Plate, view: &PlateView) -> Option<SpoolOut> {
    let both = [(plate.spool, view.spool), (plate.twin_spool, view.twin_spool)];
    let outs = both.into_iter().filter_map(|(id, used)| {
        let (spool, used) = (job.spool(id?)?, used?);
        let (out, only_thick) = used.runs_out.map(|r| (r, false)).or(used.runs_out_earliest.map(|r| (r, true)))?;
        Some(SpoolOut { spool: spool.name.clone(), after_s: out.after_s, only_thick })
    });
    outs.min_by(|a, b| a.only_thick.cmp(&b.only_thick).then(a.after_s.total_cmp(&b.after_s)))
}
