//! What is derived of the job, kept by content. Never document state.

use std::{collections::BTreeMap, sync::Arc};

use crate::{
    document::{PlateId, SpoolId},
    estimate::{FootingProfile, Profile, SpoolLevel},
    finding::Finding,
    geom::Region,
    plate::{PartShape, Prepared, Shapes},
    session::shifts::{Basis, Timeline},
    session::{
        PlateView,
        derived::{
            bounded::Bounded,
            keys::{FootingKey, MassKey, MendKey, PosesKey, ProfileKey, ShapeKey, StandingKey},
        },
    },
    stability::{PoseChoice, PoseView},
    work::{Judged, Mended, StandingMass},
};

/// Outlines kept that no part of the job has any more, for steps back and forth.
const SPARE_SHAPES: usize = 200;

/// Likewise mended meshes: each may be as large as its file.
const SPARE_MENDED: usize = 4;

/// Likewise profiles: each may be as large as a megabyte.
const SPARE_PROFILES: usize = 64;

/// Likewise footings.
const SPARE_FOOTINGS: usize = 200;

/// Likewise masses over height.
const SPARE_MASSES: usize = 64;

/// Likewise rankings of poses.
const SPARE_POSES: usize = 64;

/// Likewise judgements: a typed number makes a new one with every digit.
const SPARE_JUDGED: usize = 1000;

/// Caches keyed by content.
#[derive(Debug)]
pub(in crate::session) struct Caches {
    pub(in crate::session) mended: Bounded<MendKey, Arc<Mended>>,
    pub(in crate::session) shapes_by_key: Bounded<ShapeKey, Arc<PartShape>>,
    /// Outlines from earlier runs of parts whose mesh is missing; `None` where there are none.
    pub(super) last_known: BTreeMap<ShapeKey, Option<Arc<PartShape>>>,
    pub(in crate::session) profiles: Bounded<ProfileKey, Result<Arc<Profile>, String>>,
    /// Sections of supports, layer by layer; looked for while the height cursor is out.
    pub(in crate::session) supports: BTreeMap<ProfileKey, Arc<Vec<Arc<Region>>>>,
    pub(in crate::session) footings: Bounded<FootingKey, Result<Arc<FootingProfile>, String>>,
    pub(in crate::session) masses: Bounded<MassKey, Option<Arc<StandingMass>>>,
    pub(in crate::session) poses: Bounded<PosesKey, Arc<Vec<PoseChoice>>>,
    pub(in crate::session) pose_views: Bounded<PosesKey, Arc<Vec<PoseView>>>,
    pub(super) judged: Bounded<StandingKey, Arc<Judged>>,
    pub(in crate::session) prepared: Prepared,
    pub(in crate::session) shapes: Shapes,
    pub(in crate::session) views: BTreeMap<PlateId, PlateView>,
    pub(in crate::session) job_findings: Vec<Finding>,
    pub(super) spool_levels: BTreeMap<SpoolId, Option<SpoolLevel>>,
    /// When plates run, and what that was made from.
    pub(in crate::session) timeline: Option<(Basis, Timeline)>,
    pub(in crate::session) shift_findings: Vec<Finding>,
    /// Rises when an outline or a profile arrives or goes.
    pub(in crate::session) generation: u64,
}

impl Default for Caches {
    fn default() -> Self {
        Self {
            mended: Bounded::new(SPARE_MENDED),
            shapes_by_key: Bounded::new(SPARE_SHAPES),
            last_known: BTreeMap::new(),
            profiles: Bounded::new(SPARE_PROFILES),
            supports: BTreeMap::new(),
            footings: Bounded::new(SPARE_FOOTINGS),
            masses: Bounded::new(SPARE_MASSES),
            poses: Bounded::new(SPARE_POSES),
            pose_views: Bounded::new(SPARE_POSES),
            judged: Bounded::new(SPARE_JUDGED),
            prepared: Prepared::new(),
            shapes: Shapes::new(),
            views: BTreeMap::new(),
            job_findings: Vec::new(),
            spool_levels: BTreeMap::new(),
            timeline: None,
            shift_findings: Vec::new(),
            generation: 0,
        }
    }
}
