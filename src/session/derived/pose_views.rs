//! Small drawings of the ways to lay a part down.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::PartId,
    session::{
        Session,
        derived::{
            keys::{PosesKey, linear},
            pending::Pending,
        },
    },
    stability::PoseView,
    work::Request,
};

/// So many of the best are drawn.
pub(super) const MOST_DRAWN: usize = 8;

impl Session {
    /// The best ways to lay a part down as drawings, in the order of [`Session::poses`]; `None` while they are not drawn: ask with
    /// [`crate::session::Action::RankPoses`].
    pub fn pose_views(&self, part: PartId) -> Option<&[PoseView]> {
        let job = self.job();
        let key = self.poses_key(job, job.part(part)?)?;
        self.caches.pose_views.get(&key).map(|v| v.as_slice())
    }

    /// Asks for them, once the poses are ranked.
    pub(super) fn draw_poses(&mut self, part: PartId) {
        let job = self.shared_job();
        let Some(part) = job.part(part) else { return };
        let Some(key) = self.poses_key(&job, part).filter(|k| !self.caches.pose_views.contains_key(k)) else { return };
        let Some(ranked) = self.caches.poses.get(&key) else { return };
        let normals = ranked.iter().take(MOST_DRAWN).map(|c| c.normal).collect();
        let (Some(mesh), Some(linear)) = (self.solid(part), linear(&job, part)) else { return };
        self.ask_once(Pending::PoseViews(key), || Request::PoseViews { mesh, linear, normals });
    }

    pub(in crate::session) fn take_pose_views(&mut self, key: PosesKey, views: Arc<Vec<PoseView>>) {
        self.caches.pose_views.insert(key, views, BTreeSet::new);
    }
}
