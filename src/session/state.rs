//! The session: one open job and all about it.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use super::{
    Arranging, Ask, Gauging, Library, World,
    arranging::{command_apart, command_of, copies, reasons, without_room},
    derived::{Caches, Pending, PlateView},
    fingerprint::{Concern, Fingerprint},
    profile_store::ProfileStore,
};
use crate::{
    document::{CopyId, Job, PartId, Plate, PlateId},
    edit::History,
    finding::Finding,
    packing::{Aim, Bound},
    plate::{Conflict, PartShape, Prepared, Shapes},
    work::{Answer, Event, KeptProfiles, Runner, Ticket, TicketId},
};

/// Time for a drop that makes room or looks for some: longer, and letting go is felt.
const MAKING_ROOM: Duration = Duration::from_millis(90);

/// Something to be told, once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// One sentence.
    pub text: String,
    /// It went wrong.
    pub fault: bool,
}

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
    pub(super) limits: super::ArrangeLimits,
    pub(super) drop_time: Duration,
    pub(super) bounds: BTreeMap<PlateId, (Option<PartId>, Known)>,
    pub(super) plates_bound: Option<Known>,
    pub(super) overfull: Option<super::overfull::Overfull>,
    pub(super) keep_lying: bool,
    pub(super) why_unplaced: BTreeMap<PartId, String>,
    pub(super) notices: Vec<Notice>,
    pub(super) asked: Option<Ask>,
    pub(super) quit: bool,
    pub(super) height_mm: Option<f64>,
    pub(super) recent: Vec<PathBuf>,
    pub(super) on_disk: super::saving::OnDisk,
    pub(super) keeping: super::keeping::Keeping,
    pub(super) hand_overs: super::hand_over::HandOvers,
    pub(super) turns: Option<crate::document::Turns>,
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
            limits: super::ArrangeLimits::default(),
            drop_time: MAKING_ROOM,
            bounds: BTreeMap::new(),
            plates_bound: None,
            overfull: None,
            keep_lying: false,
            why_unplaced: BTreeMap::new(),
            notices: Vec::new(),
            asked: None,
            quit: false,
            height_mm: None,
            recent: Vec::new(),
            on_disk: super::saving::OnDisk::default(),
            keeping: super::keeping::Keeping::default(),
            hand_overs: super::hand_over::HandOvers::default(),
            turns: None,
            drag_base: Vec::new(),
        };
        s.recent = s.read_recent();
        s.start_new();
        s
    }

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
        let mut all: Vec<&Finding> = here.chain(&self.caches.job_findings).collect();
        all.sort_by_key(|f| f.level);
        all
    }
    /// Findings of all plates and of the job.
    pub fn all_findings(&self) -> Vec<&Finding> {
        let plates = self.job().plates.iter().filter_map(|p| self.view(p.id)).flat_map(|v| &v.findings);
        let mut all: Vec<&Finding> = plates.chain(&self.caches.job_findings).collect();
        all.sort_by_key(|f| f.level);
        all
    }
    /// Pack or Top up under way.
    pub fn arranging(&self) -> Option<&Arranging> {
        self.arranging.as_ref()
    }
    /// How long Pack and Top up may search.
    pub fn limits(&self) -> super::ArrangeLimits {
        self.limits
    }
    /// Sets how long Pack and Top up may search.
    pub fn set_limits(&mut self, limits: super::ArrangeLimits) {
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
    /// No more copies than this fit on the plate, as far as Top up has found out.
    pub fn bound(&self, plate: PlateId) -> Option<Bound> {
        self.bounds.get(&plate).filter(|(_, b)| b.holds(self)).map(|(_, b)| b.bound)
    }
    /// Of which part [`Session::bound`] speaks.
    pub fn bound_part(&self, plate: PlateId) -> Option<PartId> {
        self.bounds.get(&plate).and_then(|(part, _)| *part)
    }
    /// No fewer plates than this hold what was packed last, as long as nothing has changed since.
    pub fn plates_bound(&self) -> Option<Bound> {
        self.plates_bound.as_ref().filter(|b| b.holds(self)).map(|b| b.bound)
    }
    /// Bounds and reasons for the hand-over files.
    pub fn placements_bounds(&self) -> crate::formats::write::PlacementsBounds {
        crate::formats::write::PlacementsBounds {
            plates: self.plates_bound(),
            by_plate: self.bounds.keys().filter_map(|&p| Some((p, (self.bound_part(p), self.bound(p)?)))).collect(),
            why_unplaced: self.why_unplaced.clone(),
            ..Default::default()
        }
    }
    /// Takes what is to be told.
    pub fn take_notices(&mut self) -> Vec<Notice> {
        std::mem::take(&mut self.notices)
    }
    /// Takes the question that the roof has to ask.
    pub fn take_ask(&mut self) -> Option<Ask> {
        self.asked.take()
    }
    /// True once the person wants to close.
    pub fn take_quit(&mut self) -> bool {
        std::mem::take(&mut self.quit)
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
    /// Ordered copies that lie on no plate.
    pub fn unplaced_count(&self) -> usize {
        let job = self.job();
        job.parts.iter().map(|p| (p.wanted as usize).saturating_sub(job.placed(p.id))).sum()
    }
    /// Today, ISO 8601.
    pub fn today(&self) -> String {
        self.world.today()
    }

    /// Takes in what long work has said. True when something changed. Call it once a frame; with the inline runner
    /// it works until nothing is pending.
    pub fn tick(&mut self) -> bool {
        let mut any = false;
        loop {
            let events = self.runner.events();
            if events.is_empty() {
                break;
            }
            any = true;
            for event in events {
                self.hear(event);
            }
            self.refresh();
        }
        self.keep_for_recovery();
        any
    }

    fn hear(&mut self, event: Event) {
        match event {
            Event::Begin(_) => {}
            Event::Progress(ticket, done, what) => {
                if let Some(a) = self.arranging.as_mut().filter(|a| a.ticket.id == ticket) {
                    a.done = done;
                    a.what = what;
                } else if let Some(g) = self.gauging.as_mut().filter(|g| g.ticket.id == ticket) {
                    g.done = done;
                } else if let Some(h) = self.hand_overs.running.as_mut().filter(|h| h.ticket.id == ticket) {
                    (h.done, h.what) = (done, what);
                } else if matches!(self.pending.get(&ticket), Some((_, Pending::Profile(_)))) {
                    self.profile_done = Some((ticket, done));
                }
            }
            Event::Improved(ticket, layout) => {
                let job = self.history.shared_job();
                if let Some(a) = self.arranging.as_mut().filter(|a| a.ticket.id == ticket) {
                    // A layout that has no place for a copy that lies on a plate is not one to be taken.
                    if without_room(&a.task.mapping.back(&layout)).is_empty() {
                        let command = command_of(&a.task, &layout, a.drop_empty);
                        a.shown = crate::edit::apply(&job, &command).ok().map(|(j, _)| Arc::new(j));
                        a.best = Some(layout);
                    }
                }
            }
            Event::End { ticket, cancelled, answer } => {
                if self.arranging.as_ref().is_some_and(|a| a.ticket.id == ticket) {
                    self.end_arranging(answer);
                    return;
                }
                if self.gauging.as_ref().is_some_and(|g| g.ticket.id == ticket) {
                    self.take_measured(answer);
                    return;
                }
                if self.hand_overs.running.as_ref().is_some_and(|h| h.ticket.id == ticket) {
                    self.take_handed_over(answer);
                    return;
                }
                let Some(pending) = self.forget(ticket) else { return };
                match (pending, answer) {
                    (Pending::Shape(key), Some(Answer::Shape(shape))) => self.take_shape(key, shape),
                    (Pending::Profile(key), Some(Answer::Profile { profile, computed })) => {
                        self.profiles_computed += usize::from(computed);
                        self.take_profile(key, profile.map_err(|e| e.to_string()));
                    }
                    (Pending::Supports(key), Some(Answer::Supports(columns))) => {
                        self.caches.supports.insert(key, columns);
                    }
                    (Pending::Profile(key), Some(Answer::Failed(why))) => self.take_profile(key, Err(why)),
                    (Pending::Footing(key), Some(Answer::Footing(made))) => {
                        self.take_footing(key, made.map_err(|e| e.to_string()));
                    }
                    (Pending::Footing(key), Some(Answer::Failed(why))) => self.take_footing(key, Err(why)),
                    // Stopped, and perhaps wanted again: the plates that wait for it are to ask once more.
                    (Pending::Footing(_), None) => self.caches.generation += 1,
                    // An answer all the same, or it would be asked for again without end.
                    (Pending::Supports(key), None | Some(Answer::Failed(_))) if !cancelled => {
                        self.caches.supports.insert(key, Arc::new(Vec::new()));
                    }
                    (Pending::Shape(key), Some(Answer::Failed(why))) => {
                        self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                        self.take_shape(key, Arc::new(PartShape::nothing()));
                    }
                    (pending, Some(Answer::Mesh(read))) => self.take_mesh(pending, read),
                    (_, Some(Answer::Failed(why))) => {
                        self.tell_fault(format!("a fault of this program: {why}; save your work and report it"));
                    }
                    _ => {}
                }
            }
        }
    }

    fn end_arranging(&mut self, answer: Option<Answer>) {
        let Some(a) = self.arranging.take() else { return };
        let layout = match answer {
            Some(Answer::Layout(l)) => Some(l),
            Some(Answer::Failed(why)) => {
                self.tell_fault(format!("a fault of this program: {why}; the best layout so far is kept"));
                a.best.clone()
            }
            _ => a.best.clone(),
        };
        let Some(layout) = layout else { return };
        let job = self.history.shared_job();
        let apart = Fingerprint::new(&job, &a.concern).number() != a.ticket.fingerprint;
        let placed = a.task.mapping.back(&layout);
        let without_room = without_room(&placed);
        if !apart && !without_room.is_empty() {
            self.say_overfull(&a, &without_room);
            return;
        }
        self.overfull = None;
        for (part, why) in reasons(&placed) {
            self.why_unplaced.insert(part, why);
        }
        for part in &job.parts {
            if !placed.unplaced.iter().any(|u| u.part == part.id) {
                self.why_unplaced.remove(&part.id);
            }
        }
        let spent = a.standing().time_s.map_or_else(String::new, |(spent, _)| format!(" in {spent:.0} s"));
        if !apart && layout.count() > 0 && *layout == a.task.mapping.now() {
            self.keep_bound(&a);
            self.tell(format!("no tighter arrangement was found{spent}: everything stays where it is"));
            return;
        }
        let added = placed.plates.iter().flat_map(|p| &p.copies).filter(|c| c.copy.is_none()).count();
        if !apart && added == 0 && matches!(a.task.problem.aim, Aim::TopUp { .. }) {
            self.keep_bound(&a);
            self.tell(format!("no copy found room{spent}: everything stays where it is"));
            return;
        }
        let command = if apart {
            command_apart(&job, &a.begun_with, &a.task, &layout)
        } else {
            command_of(&a.task, &layout, a.drop_empty)
        };
        match self.history.apply(&a.label, &command) {
            Ok(out) => {
                if !apart {
                    self.keep_bound(&a);
                }
                let moved = a.task.mapping.moved(&placed);
                if !apart && moved > 0 && matches!(a.task.problem.aim, Aim::TopUp { .. }) {
                    let (more, there) = (copies(added), copies(moved));
                    self.tell(format!("{more} added; {there} moved to make room (Undo takes both back)"));
                }
                if apart && out.copies.is_empty() && placed.count() > 0 {
                    self.tell_fault(
                        "what was arranged has changed meanwhile, and nothing of it can be placed: pack again",
                    );
                } else if apart {
                    self.tell("what was arranged has changed meanwhile: the result lies on a plate of its own");
                    self.plate = out.plates.first().copied().or(self.plate);
                } else if self.plate.is_none() {
                    self.plate = out.plates.first().copied();
                }
                if placed.count() == 0 {
                    self.tell("no copy fits");
                }
            }
            Err(why) => self.tell_fault(why.to_string()),
        }
    }

    /// Remembers what no layout can beat, for the job as it is now.
    fn keep_bound(&mut self, a: &Arranging) {
        let Some(bound) = a.bound else { return };
        let job = self.history.shared_job();
        let concern = match a.task.problem.aim {
            // A bound on plates is about all there are.
            Aim::Pack { .. } => Concern { plates: job.plates.iter().map(|p| p.id).collect(), ..a.concern.clone() },
            Aim::TopUp { .. } => a.concern.clone(),
        };
        let known = Known::now(&job, concern, bound);
        match (&a.task.problem.aim, a.bound_of) {
            (Aim::Pack { .. }, _) => self.plates_bound = Some(known),
            (Aim::TopUp { .. }, Some(plate)) => drop(self.bounds.insert(plate, (a.topped, known))),
            (Aim::TopUp { .. }, None) => {}
        }
    }

    pub(super) fn tell(&mut self, text: impl Into<String>) {
        self.notices.push(Notice { text: text.into(), fault: false });
    }

    pub(super) fn tell_fault(&mut self, text: impl Into<String>) {
        self.notices.push(Notice { text: text.into(), fault: true });
    }

    /// Drops what is selected or shown and no longer there.
    pub(super) fn tidy_selection(&mut self, job: &Job) {
        if self.plate.is_none_or(|id| job.plate(id).is_none()) {
            self.plate = job.plates.first().map(|p| p.id);
        }
        let here: BTreeSet<CopyId> =
            self.plate.and_then(|id| job.plate(id)).into_iter().flat_map(|p| &p.copies).map(|c| c.id).collect();
        self.selection.retain(|c| here.contains(c));
        if self.part.is_none_or(|id| job.part(id).is_none()) {
            self.part = None;
        }
    }
}

/// A bound, and the job for which it was found.
#[derive(Debug, Clone)]
pub(super) struct Known {
    bound: Bound,
    concern: Concern,
    of: Fingerprint,
    job: Arc<Job>,
}

impl Known {
    fn now(job: &Arc<Job>, concern: Concern, bound: Bound) -> Self {
        let of = Fingerprint::new(job, &concern);
        Self { bound, concern, of, job: Arc::clone(job) }
    }
    /// Is what the bound is about still as it was?
    fn holds(&self, session: &Session) -> bool {
        let job = session.history.shared_job();
        Arc::ptr_eq(&job, &self.job) || Fingerprint::new(&job, &self.concern) == self.of
    }
}

impl Arranging {
    pub(super) fn existing_plates(&self) -> Vec<PlateId> {
        (0..self.task.problem.beds.len())
            .filter_map(|b| match self.task.mapping.target(b) {
                Some(crate::plate::Target::Existing(id)) => Some(*id),
                _ => None,
            })
            .collect()
    }

    /// Were plates offered that are not there yet?
    pub(super) fn further_plates(&self) -> bool {
        (0..self.task.problem.beds.len())
            .any(|b| matches!(self.task.mapping.target(b), Some(crate::plate::Target::New(_))))
    }
}
