//! What the roofs read of a session, and the few things that they set.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use crate::{
    document::{CopyId, Job, PartId, Plate, PlateId},
    finding::Finding,
    plate::{Prepared, Shapes, made},
    session::{ArrangeLimits, Arranging, Library, PlateView, Session, findings::shifts},
};

impl Session {
    /// The job: while Pack or Top up runs, as it would be with the best layout so far.
    pub fn shown_job(&self) -> &Job {
        self.arranging.as_ref().and_then(|a| a.shown.as_deref()).unwrap_or_else(|| self.history.job())
    }

    /// The job as it is.
    pub fn job(&self) -> &Job {
        self.history.job()
    }

    /// The job as it is, shared.
    pub fn shared_job(&self) -> Arc<Job> {
        self.history.shared_job()
    }

    /// Rises with every change of the job.
    pub fn revision(&self) -> u64 {
        self.history.revision()
    }

    /// Rises when outlines or profiles arrive.
    pub fn generation(&self) -> u64 {
        self.caches.generation
    }

    /// Profiles computed since the session began; those kept from earlier runs are not counted.
    pub fn profiles_computed(&self) -> usize {
        self.profiles_computed
    }

    /// Where the job is saved.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// The job's file name, or "new job".
    pub fn file_name(&self) -> String {
        self.path
            .as_ref()
            .and_then(|p| p.file_name())
            .map_or_else(|| "new job".into(), |n| n.to_string_lossy().into_owned())
    }

    /// True where a file or folder is.
    pub fn is_there(&self, path: &Path) -> bool {
        self.world.exists(path)
    }

    /// True when something is not saved.
    pub fn changed(&self) -> bool {
        self.history.changed()
    }

    /// What would be undone.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// What would be done again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// True while something is dragged.
    pub fn dragging(&self) -> bool {
        self.history.in_gesture()
    }

    /// Id of the plate on the sheet.
    pub fn plate_id(&self) -> Option<PlateId> {
        self.plate
    }

    /// The plate on the sheet, as it is.
    pub fn plate(&self) -> Option<&Plate> {
        self.plate.and_then(|id| self.job().plate(id))
    }

    /// The plate on the sheet, as it is shown (see [`Self::shown_job`]).
    pub fn shown_plate(&self) -> Option<&Plate> {
        let job = self.shown_job();
        self.plate.and_then(|id| job.plate(id)).or_else(|| job.plates.last())
    }

    /// The part whose particulars are shown, where no copy is selected.
    pub fn part_id(&self) -> Option<PartId> {
        self.part
    }

    /// Selected copies, all on the plate shown.
    pub fn selection(&self) -> &BTreeSet<CopyId> {
        &self.selection
    }

    /// Outlines of the parts.
    pub fn shapes(&self) -> &Shapes {
        &self.caches.shapes
    }

    /// Outlines with their rings.
    pub fn prepared(&self) -> &Prepared {
        &self.caches.prepared
    }

    /// The meshes.
    pub fn library(&self) -> &Library {
        &self.library
    }

    /// What is derived of a plate.
    pub fn view(&self, plate: PlateId) -> Option<&PlateView> {
        self.caches.views.get(&plate)
    }

    /// Findings of the plate shown, then those of the whole job, gravest first.
    pub fn findings(&self) -> Vec<&Finding> {
        let here = self.plate.and_then(|p| self.view(p)).into_iter().flat_map(|v| &v.findings);
        let of_plan = self.findings_of_plan().filter(|f| f.plate.is_none() || f.plate == self.plate);
        let mut all: Vec<&Finding> = here.chain(&self.caches.job_findings).chain(of_plan).collect();
        all.sort_by_key(|f| f.level);
        all
    }

    /// Findings of hours and the plan, once anybody has said anything about them.
    fn findings_of_plan(&self) -> impl Iterator<Item = &Finding> {
        let asked_for = shifts::are_asked_for(self.job());
        self.caches.shift_findings.iter().filter(move |_| asked_for)
    }

    /// Findings of hours and the plan, whether anybody has said anything about them or not, gravest first.
    pub fn shift_findings(&self) -> &[Finding] {
        &self.caches.shift_findings
    }

    /// Findings of all plates and of the job.
    pub fn all_findings(&self) -> Vec<&Finding> {
        let plates = self.job().plates.iter().filter_map(|p| self.view(p.id)).flat_map(|v| &v.findings);
        let mut all: Vec<&Finding> = plates.chain(&self.caches.job_findings).chain(self.findings_of_plan()).collect();
        all.sort_by_key(|f| f.level);
        all
    }

    /// Pack or Top up under way.
    pub fn arranging(&self) -> Option<&Arranging> {
        self.arranging.as_ref()
    }

    /// How long Pack and Top up may search.
    pub fn limits(&self) -> ArrangeLimits {
        self.limits
    }

    /// Sets how long Pack and Top up may search.
    pub fn set_limits(&mut self, limits: ArrangeLimits) {
        self.limits = limits;
    }

    /// Does Top up leave copies where they lie, even where moving them makes room for more?
    pub fn keeps_lying(&self) -> bool {
        self.keep_lying
    }

    /// Sets how long a drop may look for room; 90 ms unless set.
    pub fn set_drop_time(&mut self, time: Duration) {
        self.drop_time = time;
    }

    /// The height cursor, mm.
    pub fn height_mm(&self) -> Option<f64> {
        self.height_mm
    }

    /// Jobs opened lately, newest first.
    pub fn recent(&self) -> &[PathBuf] {
        &self.recent
    }

    /// The sample job that comes with the program, where it is there.
    pub fn sample_job(&self) -> Option<PathBuf> {
        self.world.sample_job()
    }

    /// How many of a part all plates make, twins counted where a plate is printed twice at once.
    pub fn made(&self, part: PartId) -> usize {
        made(self.job(), part, self.shapes())
    }

    /// Ordered copies that lie on no plate.
    pub fn unplaced_count(&self) -> usize {
        let job = self.job();
        job.parts.iter().map(|p| (p.wanted as usize).saturating_sub(self.made(p.id))).sum()
    }

    /// Today, ISO 8601.
    pub fn today(&self) -> String {
        self.world.today()
    }
}
