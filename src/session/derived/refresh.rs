//! Everything derived brought up to date.

use crate::session::Session;

impl Session {
    /// Brings everything derived up to date with the job; asks for what is missing.
    pub(in crate::session) fn refresh(&mut self) {
        self.find_forgotten_meshes();
        let job = self.history.shared_job();
        self.refresh_solids(&job);
        self.refresh_shapes(&job);
        self.refresh_supports(&job);
        self.refresh_masses(&job);
        self.stop_superseded(&job);
        self.refresh_views(&job);
        self.refresh_plan(&job);
        self.refresh_learned(&job);
        self.refresh_job_findings(&job);
        self.tidy_selection(&job);
    }
}
