//! All findings of the job as a whole.

use std::sync::Arc;

use crate::{
    document::{Job, Part},
    session::{
        Session,
        derived::keys::shape_key,
        findings::{beyond_beds::beyond_beds, mesh_fault, parted, surplus, tally, unplaced},
    },
};

impl Session {
    pub(in crate::session) fn refresh_job_findings(&mut self, job: &Arc<Job>) {
        let mut all = Vec::new();
        let why = |part: &Part| self.why_unplaced.get(&part.id).map(String::as_str);
        all.extend(job.parts.iter().filter_map(|part| unplaced::finding(job, part, &self.caches.shapes, why(part))));
        all.extend(job.parts.iter().filter_map(|part| surplus::finding(job, part, &self.caches.shapes)));
        all.extend(self.overfull_finding(job));
        all.extend(job.parts.iter().filter_map(|part| parted::finding(job, part)));
        let shape = |part: &Part| self.caches.shapes_by_key.get(&shape_key(job, part)?);
        all.extend(job.parts.iter().filter_map(|part| Some(beyond_beds(job, shape(part)?)?.finding(part))));
        all.extend(tally::findings(job));
        all.extend(self.readiness_findings(job));
        all.extend(mesh_fault::findings(self, job));
        all.extend(self.missing_findings(job, None));
        all.sort_by_key(|f| f.level);
        self.caches.job_findings = all;
    }
}
