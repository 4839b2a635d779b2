//! The session: one open job and all about it.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::PathBuf,
    sync::Arc,
    time::Duration,
};

use crate::{
    batch::tally::{Learned, learned},
    document::{CopyId, Job, PartId, PlateId, Tally, Turns},
    edit::History,
    plate::Conflict,
    session::{
        ArrangeLimits, Arranging, Ask, EndBy, Gauging, Improving, InTimeTold, Library, Notice, World,
        deal::Deals,
        derived::{caches::Caches, pending::Pending},
        files::{handing_over::HandOvers, keeping::Keeping, on_disk::OnDisk, profile_store::ProfileStore},
        search::{known::Known, overfull::Overfull},
        study::Studies,
        time_limit::TimeLimit,
    },
    work::{KeptProfiles, Runner, Ticket, TicketId},
};

/// Time for a drop that makes room or looks for some: longer, and letting go is felt.
const MAKING_ROOM: Duration = Duration::from_millis(90);

/// One open job and all about it. The roofs read it and send [`super::Action`]s.
pub struct Session {
    pub(super) world: Arc<dyn World>,
    pub(super) profile_store: Option<Arc<dyn KeptProfiles>>,
    pub(super) outline_store: Option<Arc<dyn KeptProfiles>>,
    pub(super) profiles_computed: usize,
    pub(super) runner: Runner,
    pub(super) history: History,
    pub(super) path: Option<PathBuf>,
    pub(super) library: Library,
    pub(super) caches: Caches,
    pub(super) pending: BTreeMap<TicketId, (Ticket, Pending)>,
    pub(super) profile_done: Option<(TicketId, f64)>,
    pub(super) plate: Option<PlateId>,
    pub(super) part: Option<PartId>,
    pub(super) selection: BTreeSet<CopyId>,
    pub(super) arranging: Option<Arranging>,
    pub(super) gauging: Option<Gauging>,
    pub(super) studies: Studies,
    pub(super) deals: Deals,
    pub(super) limits: ArrangeLimits,
    pub(super) drop_time: Duration,
    pub(super) bounds: BTreeMap<PlateId, (Option<PartId>, Known)>,
    pub(super) plates_bound: Option<Known>,
    pub(super) overfull: Option<Overfull>,
    pub(super) keep_lying: bool,
    pub(super) end_by: Option<EndBy>,
    pub(super) in_time_told: Option<InTimeTold>,
    pub(super) why_unplaced: BTreeMap<PartId, String>,
    pub(super) notices: Vec<Notice>,
    pub(super) asked: Option<Ask>,
    pub(super) quit: bool,
    pub(super) height_mm: Option<f64>,
    pub(super) recent: Vec<PathBuf>,
    pub(super) on_disk: OnDisk,
    pub(super) keeping: Keeping,
    pub(super) hand_overs: HandOvers,
    /// Mesh files of the job that were there and are not any more, as far as that was told.
    pub(super) gone_files: BTreeSet<PathBuf>,
    pub(super) turns: Option<Turns>,
    pub(super) time_limit: Option<TimeLimit>,
    pub(super) improving: Option<Improving>,
    /// The time now, where it is not the computer's.
    pub(super) now_set: Option<jiff::Timestamp>,
    /// When the plan starts, where it is not as the job says.
    pub(super) plan_start: Option<jiff::Timestamp>,
    /// What the tally teaches, and of which tally that is.
    pub(super) learned: (Tally, Arc<Learned>),
    /// Conflicts of the plate as a drag began.
    pub(super) drag_base: Vec<Conflict>,
}

impl std::fmt::Debug for Session {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Session").field("path", &self.path).field("job", self.history.job()).finish_non_exhaustive()
    }
}

impl Session {
    /// A session with a new, empty job from the shop file.
    pub fn new(world: Box<dyn World>, runner: Runner) -> Self {
        let world: Arc<dyn World> = Arc::from(world);
        let mut s = Self {
            profile_store: ProfileStore::new(&world).map(|s| Arc::new(s) as _),
            outline_store: ProfileStore::of_outlines(&world).map(|s| Arc::new(s) as _),
            profiles_computed: 0,
            world,
            runner,
            history: History::new(Job::default()),
            path: None,
            library: Library::default(),
            caches: Caches::default(),
            pending: BTreeMap::new(),
            profile_done: None,
            plate: None,
            part: None,
            selection: BTreeSet::new(),
            arranging: None,
            gauging: None,
            studies: Studies::default(),
            deals: Deals::default(),
            limits: ArrangeLimits::default(),
            drop_time: MAKING_ROOM,
            bounds: BTreeMap::new(),
            plates_bound: None,
            overfull: None,
            keep_lying: false,
            end_by: None,
            in_time_told: None,
            why_unplaced: BTreeMap::new(),
            notices: Vec::new(),
            asked: None,
            quit: false,
            height_mm: None,
            recent: Vec::new(),
            on_disk: OnDisk::default(),
            keeping: Keeping::default(),
            hand_overs: HandOvers::default(),
            gone_files: BTreeSet::new(),
            turns: None,
            time_limit: None,
            improving: None,
            now_set: None,
            plan_start: None,
            learned: (Tally::default(), Arc::new(learned(&Tally::default()))),
            drag_base: Vec::new(),
        };
        s.recent = s.read_recent();
        s.start_new();
        s
    }
}
