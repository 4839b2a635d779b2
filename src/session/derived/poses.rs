//! Ways to lay a part down, ranked in the background when asked for.

use std::{collections::BTreeSet, sync::Arc};

use crate::{
    document::{Job, Part, PartId},
    plate::{Room, rectangles_in_rows},
    session::{
        Session,
        derived::{
            keys::{PosesKey, linear, profile_key, shape_key},
            pending::Pending,
        },
    },
    stability::{Conditions, PoseChoice},
    work::Request,
};

impl Session {
    /// The ways to lay a part down, best first, as directions in its present pose; `None` while they are not worked out: ask for them
    /// with [`crate::session::Action::RankPoses`].
    pub fn poses(&self, part: PartId) -> Option<&[PoseChoice]> {
        let job = self.job();
        let (key, ..) = self.ranking(job, job.part(part)?)?;
        self.caches.poses.get(&key).map(|c| c.as_slice())
    }

    /// What a way to lay a part down would come to on the machine of the plate shown, or the first: copies in rows on its bed, and the mean
    /// time of a layer of one copy, s. The time is that of the present pose shared out over the other's layers; `None` while it is not known.
    pub fn pose_comes_to(&self, part: PartId, pose: &PoseChoice) -> Option<(usize, Option<f64>)> {
        let job = self.job();
        let its = job.part(part)?;
        let machine = self.plate().and_then(|p| job.machine(p.machine)).or(job.machines.first())?;
        let recipe = job.recipe(its.recipe)?;
        let room_mm = Room::within(job, machine, recipe.skirt_mm()).size_mm();
        let copies = if pose.height_mm <= machine.height_mm {
            rectangles_in_rows(room_mm, (pose.size_mm[0], pose.size_mm[1]), job.margins.gap_mm)
        } else {
            0
        };
        let profile = profile_key(job, its).and_then(|k| self.caches.profiles.get(&k)?.as_ref().ok());
        let layer_s = profile.map(|p| p.time_s() * recipe.time_factor / pose.layers.max(1) as f64);
        Some((copies, layer_s))
    }

    /// Are they being worked out, or drawn?
    pub fn ranking_poses(&self, part: PartId) -> bool {
        let job = self.job();
        let key = job.part(part).and_then(|p| self.ranking(job, p)).map(|(key, ..)| key);
        let is_about = |p: &Pending| matches!(p, Pending::Poses(k) | Pending::PoseViews(k) if Some(k) == key.as_ref());
        self.pending.values().any(|(_, p)| is_about(p))
    }

    /// Asks for them, and then for their drawings.
    pub(in crate::session) fn rank_poses(&mut self, part: PartId) {
        let job = self.shared_job();
        self.draw_poses(part);
        let Some(part) = job.part(part) else { return };
        let Some((key, conditions, overhang_deg)) = self.ranking(&job, part) else { return };
        let (Some(mesh), Some(linear)) = (self.solid(part), linear(&job, part)) else { return };
        if !self.caches.poses.contains_key(&key) {
            self.ask_once(Pending::Poses(key), || Request::Poses {
                mesh,
                linear,
                conditions: Box::new(conditions),
                overhang_deg,
            });
        }
    }

    pub(in crate::session) fn take_poses(&mut self, key: PosesKey, choices: Arc<Vec<PoseChoice>>) {
        self.caches.poses.insert(key, choices, BTreeSet::new);
        // Findings offer the best of them.
        self.caches.generation += 1;
    }

    /// Key of a part's ranking.
    pub(super) fn poses_key(&self, job: &Job, part: &Part) -> Option<PosesKey> {
        self.ranking(job, part).map(|(key, ..)| key)
    }

    /// What a ranking depends on. The machine is that of the plate shown: its surface names the adhesion.
    fn ranking(&self, job: &Job, part: &Part) -> Option<(PosesKey, Conditions, f64)> {
        let (material, recipe) = (job.material(part.material)?, job.recipe(part.recipe)?);
        let machine = self.plate().and_then(|p| job.machine(p.machine)).or(job.machines.first())?;
        let conditions = Conditions::of(job, material, recipe, machine);
        let overhang_deg = recipe.support.unwrap_or_default().overhang_deg;
        let key = (shape_key(job, part)?, format!("{conditions:?} {overhang_deg}"));
        Some((key, conditions, overhang_deg))
    }
}
