//! All findings of a plate.

use crate::{
    document::{Job, Plate},
    estimate::PlateEstimate,
    finding::Finding,
    plate::{self, Conflict},
    session::{
        PartStanding, Session,
        findings::{cooling, mixed_heights, stability},
    },
};

impl Session {
    pub(in crate::session) fn plate_findings(
        &self,
        job: &Job,
        p: &Plate,
        conflicts: &[Conflict],
        estimate: Option<&PlateEstimate>,
        standing: &[PartStanding],
    ) -> Vec<Finding> {
        let mut all = plate::findings(job, p, conflicts);
        all.extend(plate::twin_findings(job, p, &self.caches.shapes));
        all.extend(self.missing_findings(job, Some(p)));
        if let Some(e) = estimate {
            let copies = self.estimated_copies(p);
            all.extend(cooling::finding(job, p, &copies, e));
            let until = |part| self.copies_until_slowing_ends(part);
            all.extend(mixed_heights::finding(job, p, &copies, &self.caches.shapes, e, until));
        }
        all.extend(stability::findings(self, job, p, standing));
        all.sort_by_key(|f| f.level);
        all
    }
}
