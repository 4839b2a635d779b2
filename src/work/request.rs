//! What is asked of long work.

use std::{io::Read, path::PathBuf, sync::Arc, time::Duration};

use super::{
    Answer, Event, HandOverTask, Judged, KeptProfiles, Loaded, Mended, OutFolder, ProfileHash, StandingMass, Ticket,
    arrange::{Terms, arrange},
    arrange_in_time::arrange_in_time,
    docket_order::docket_order,
    kept_profile,
    mass::part_mass,
    outline_bytes, profile_bytes, read_file,
    sections::part_sections,
};
use crate::{
    batch::sequence::{Order, Plan, Runs, improve},
    document::{Footing, Mend, Recipe},
    estimate::{
        self, FootingProfile, Profile, ProfileError,
        gauge::{self, Basis, GaugeError},
    },
    geom::{Outline, Region},
    mesh::{self, TriMesh},
    packing::{Dealing, Layout, Problem, Wishes},
    plate::PartShape,
    stability::{self, Conditions, PoseView},
    studies::{
        CopiesRow, CopiesStudy, DealStanding, DealTask, FootingRow, FootingStudy, PlateRow, PlateStudy, PlateTimer,
        copies_study, deal, footing_study, plate_study,
    },
    watch::Watch,
};

/// Requests of one lane run one after another; lanes run beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lane {
    /// Reading meshes, outlines, profiles of parts and footings.
    Prepare,
    /// Pack and Top up: a new one takes the place of the one that runs.
    Arrange,
    /// Measuring machine code: likewise.
    Gauge,
    /// Writing hand-over files: likewise.
    HandOver,
    /// Studies: likewise.
    Study,
    /// Dealing the order out: likewise.
    Deal,
    /// A better sequence of plates: likewise.
    Sequence,
}

impl Lane {
    /// Name of its thread.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Prepare => "prepare",
            Self::Arrange => "arrange",
            Self::Gauge => "gauge",
            Self::HandOver => "hand over",
            Self::Study => "study",
            Self::Deal => "deal",
            Self::Sequence => "sequence",
        }
    }
    /// All lanes, each at its number.
    pub(super) const ALL: [Self; 7] =
        [Self::Prepare, Self::Arrange, Self::Gauge, Self::HandOver, Self::Study, Self::Deal, Self::Sequence];
}

/// Bytes that are read while the work goes on.
pub struct Source(pub Box<dyn Read + Send>);

impl std::fmt::Debug for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Source")
    }
}

/// Looks for files on the disk; returns those that are not there.
pub struct Look(pub Box<dyn FnOnce() -> Vec<PathBuf> + Send>);

impl std::fmt::Debug for Look {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Look")
    }
}

/// What is asked. Everything in it is shared or owned: work never looks at the session.
#[derive(Debug)]
pub enum Request {
    /// Read a mesh file's bytes.
    Read {
        /// Its name, for messages.
        name: String,
        /// Its bytes.
        bytes: Arc<Vec<u8>>,
    },
    /// Look whether files are there: a disk may be slow to answer.
    Look(Look),
    /// A part's mesh put right.
    Mend {
        /// The object of its file.
        loaded: Arc<Loaded>,
        /// Its body; `None` for all of it.
        body: Option<u32>,
        /// What is put right, in this order.
        mends: Vec<Mend>,
        /// Unit of its coordinates, mm.
        unit_mm: f64,
    },
    /// Outlines of a part in its pose.
    Shape {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres.
        linear: [[f64; 3]; 3],
        /// First layer height: the contact is the section at half of it.
        first_layer_mm: f64,
        /// Where they are kept for later runs, and under which key.
        kept: Option<(Arc<dyn KeptProfiles>, ProfileHash)>,
    },
    /// A part's profile.
    Profile {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres.
        linear: [[f64; 3]; 3],
        /// Its recipe.
        recipe: Box<Recipe>,
        /// Where it may be kept from an earlier run, and under which key.
        kept: Option<(Arc<dyn KeptProfiles>, ProfileHash)>,
    },
    /// The section of a part's supports in every layer.
    Supports {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres.
        linear: [[f64; 3]; 3],
        /// Its recipe.
        recipe: Box<Recipe>,
    },
    /// A part's mass over height, from which it is judged how firmly it stands.
    Mass {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres.
        linear: [[f64; 3]; 3],
        /// Its recipe.
        recipe: Box<Recipe>,
    },
    /// How firmly a part stands, and which footing it needs.
    Judge {
        /// Its mass over height.
        mass: Arc<StandingMass>,
        /// Its outlines, of which the contact counts.
        shape: Arc<PartShape>,
        /// Its footing.
        footing: Footing,
        /// Its recipe has supports.
        supported: bool,
        /// What it is judged under.
        conditions: Box<Conditions>,
    },
    /// Ways to lay a part down, ranked.
    Poses {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres: choices are directions in the posed part.
        linear: [[f64; 3]; 3],
        /// What it is judged under.
        conditions: Box<Conditions>,
        /// Undersides that lean further than this from the vertical need support, degrees.
        overhang_deg: f64,
    },
    /// Ways to lay a part down, drawn.
    PoseViews {
        /// The mesh in file coordinates.
        mesh: Arc<TriMesh>,
        /// From file coordinates to posed millimetres.
        linear: [[f64; 3]; 3],
        /// For each the direction in the posed part that points down then.
        normals: Vec<[f64; 3]>,
    },
    /// What the footing of one copy costs.
    Footing {
        /// The part's outlines, of which the contact counts.
        shape: Arc<PartShape>,
        /// Brim or raft.
        footing: Footing,
        /// The plate's recipe.
        recipe: Box<Recipe>,
    },
    /// Pack or top up.
    Arrange {
        /// The task.
        problem: Arc<Problem>,
        /// Seed of the search.
        seed: u64,
        /// Rounds; `None` for as long as the time allows.
        rounds: Option<u64>,
        /// Time allowed.
        limit: Option<Duration>,
        /// What is preferred among equally good layouts.
        wishes: Wishes,
        /// The layout that is there already, and that the answer is never worse than. Top up moves its copies only where
        /// that makes room for more.
        now: Option<Layout>,
        /// How copies are dealt over several beds; takes a third of the time.
        dealing: Dealing,
        /// Only as many copies as end in time, on the first bed; `None` for as many as fit. What Pack takes off goes to a bed that is empty, if there
        /// is one.
        in_time: Option<Box<PlateTimer>>,
    },
    /// Measure a machine-code file.
    Gauge {
        /// Its bytes.
        source: Source,
        /// How many.
        size: u64,
        /// What the measurement assumes.
        basis: Box<Basis>,
    },
    /// Write the hand-over files.
    HandOver {
        /// What they are made from.
        task: Box<HandOverTask>,
        /// Where they go.
        folder: Box<dyn OutFolder>,
    },
    /// Compare footings of one part.
    StudyFootings(Box<FootingStudy>),
    /// Compare a plate with itself on other footings.
    StudyPlate(Box<PlateStudy>),
    /// Compare numbers of copies of one part.
    StudyCopies(Box<CopiesStudy>),
    /// Deal the order out over plates, machines and days.
    Deal(Box<DealTask>),
    /// Look for a better sequence of plates.
    Sequence {
        /// The runs, with every machine that may run them.
        runs: Box<Runs>,
        /// The order as it is: each run once.
        start: Order,
        /// Runs that keep their places.
        fixed: Vec<bool>,
        /// Seed of the search.
        seed: u64,
        /// Rounds; `None` until it is stopped.
        rounds: Option<u64>,
    },
}

impl Request {
    /// Where it runs.
    pub fn lane(&self) -> Lane {
        match self {
            Self::Arrange { .. } => Lane::Arrange,
            Self::Gauge { .. } => Lane::Gauge,
            Self::HandOver { .. } => Lane::HandOver,
            Self::StudyFootings(_) | Self::StudyPlate(_) | Self::StudyCopies(_) => Lane::Study,
            Self::Deal(_) => Lane::Deal,
            Self::Sequence { .. } => Lane::Sequence,
            _ => Lane::Prepare,
        }
    }

    /// Does the work on the calling thread. `None`: cancelled, and nothing to show.
    pub(super) fn run(self, ticket: &Ticket, tell: &(dyn Fn(Event) + Sync)) -> Option<Answer> {
        let teller = Teller { ticket, tell };
        match self {
            Self::Read { name, bytes } => Some(Answer::Mesh(read_file(&name, &bytes))),
            Self::Look(look) => Some(Answer::Gone((look.0)())),
            Self::Mend { loaded, body, mends, unit_mm } => {
                Some(Answer::Mended(Arc::new(Mended::new(&loaded, body, &mends, unit_mm))))
            }
            Self::Shape { mesh, linear, first_layer_mm, kept } => {
                let shape = part_shape(&mesh, &linear, first_layer_mm);
                if let Some((store, key)) = kept
                    && store.get(&key).is_none()
                    && let Some(bytes) = outline_bytes(&key, &shape)
                {
                    store.put(&key, &bytes);
                }
                Some(Answer::Shape(Arc::new(shape)))
            }
            Self::Profile { mesh, linear, recipe, kept } => {
                let found = kept.as_ref().and_then(|(store, key)| kept_profile(key, &store.get(key)?));
                if let Some(profile) = found {
                    return Some(Answer::Profile { profile: Ok(Arc::new(profile)), computed: false });
                }
                let profile = part_profile(&mesh, &linear, &recipe, &teller);
                if let (Ok(profile), Some((store, key))) = (&profile, &kept)
                    && let Some(bytes) = profile_bytes(key, profile)
                {
                    store.put(key, &bytes);
                }
                match profile {
                    Err(ProfileError::Cancelled) => None,
                    other => Some(Answer::Profile { profile: other.map(Arc::new), computed: true }),
                }
            }
            Self::Supports { mesh, linear, recipe } => {
                part_supports(&mesh, &linear, &recipe, &teller).ok().map(|c| Answer::Supports(Arc::new(c)))
            }
            Self::Mass { mesh, linear, recipe } => part_mass(&mesh, &linear, &recipe, &teller).map(Answer::Mass),
            Self::Judge { mass, shape, footing, supported, conditions } => {
                Some(Answer::Judged(Arc::new(Judged::new(mass, &shape, footing, supported, *conditions))))
            }
            Self::Poses { mesh, linear, conditions, overhang_deg } => {
                let posed = mesh.posed(&linear).0;
                let choices = stability::poses(&posed, &[[0.0, 0.0, -1.0]], &conditions, overhang_deg, &teller);
                choices.map(|c| Answer::Poses(Arc::new(stability::without_alike(c))))
            }
            Self::PoseViews { mesh, linear, normals } => {
                let posed = mesh.posed(&linear).0;
                let views = normals.iter().map(|n| PoseView::new(&posed, *n)).collect();
                Some(Answer::PoseViews(Arc::new(views)))
            }
            Self::Footing { shape, footing, recipe } => {
                let made = FootingProfile::compute(shape.contact.region(), footing, &recipe);
                Some(Answer::Footing(made.map(Arc::new)))
            }
            Self::Arrange { problem, now, seed, rounds, limit, wishes, dealing, in_time } => {
                let terms = Terms { seed, rounds, limit, wishes, dealing };
                if let Some(timer) = in_time {
                    let told = arrange_in_time(&problem, now.as_ref(), &terms, &timer, &teller);
                    return Some(Answer::InTime(
                        told.map(|(layout, most)| (Arc::new(layout), most)).map_err(|e| e.to_string()),
                    ));
                }
                Some(Answer::Layout(Arc::new(arrange(&problem, now.as_ref(), &terms, &teller))))
            }
            Self::HandOver { task, folder } => task.run(folder, &teller as &dyn Watch).map(Answer::HandedOver),
            Self::StudyFootings(study) => {
                let told = &mut |row: &FootingRow| tell(Event::FootingRow(ticket.id, Box::new(row.clone())));
                Some(Answer::Studied(footing_study(&study, &teller, told).map(|rows| rows.is_complete)))
            }
            Self::StudyPlate(study) => {
                let told = &mut |row: &PlateRow| tell(Event::PlateRow(ticket.id, Box::new(row.clone())));
                Some(Answer::Studied(plate_study(&study, &teller, told).map(|(_, is_complete)| is_complete)))
            }
            Self::StudyCopies(study) => {
                let told = &mut |row: &CopiesRow| tell(Event::CopiesRow(ticket.id, Box::new(row.clone())));
                Some(Answer::Studied(copies_study(&study, &teller, told)))
            }
            Self::Deal(task) => Some(Answer::Dealt(deal(&task, &teller).map(Arc::new))),
            Self::Sequence { runs, start, fixed, seed, rounds } => {
                let watch = &teller as &dyn Watch<Plan>;
                let (order, plan) = improve(&runs, start.clone(), seed, rounds, watch);
                let found = docket_order(&runs, &start, (&order, &plan), &fixed, seed, watch);
                Some(Answer::Sequence(Box::new(found)))
            }
            Self::Gauge { mut source, size, basis } => {
                match gauge::measure(&mut source.0, size, &basis, &teller as &dyn Watch) {
                    Err(GaugeError::Cancelled) => None,
                    other => Some(Answer::Measured(other.map(Arc::new))),
                }
            }
        }
    }
}

/// Outlines of a mesh in its pose. `linear` maps file coordinates to posed millimetres, row vectors.
pub fn part_shape(mesh: &TriMesh, linear: &[[f64; 3]; 3], first_layer_mm: f64) -> PartShape {
    let (posed, shift_mm) = mesh.posed(linear);
    let height_mm = posed.bounds().map_or(0.0, |b| b[1][2]);
    let rest = || rayon::join(|| mesh::contact(&posed, first_layer_mm), || mesh::is_own_mirror_image(&posed));
    let (shadow, (contact, own_mirror)) = rayon::join(|| mesh::shadow(&posed), rest);
    PartShape { shadow: Outline::new(shadow), contact: Outline::new(contact), height_mm, shift_mm, own_mirror }
}

/// Profile of a mesh in its pose. `linear` maps file coordinates to posed millimetres, row vectors.
pub fn part_profile(
    mesh: &TriMesh,
    linear: &[[f64; 3]; 3],
    recipe: &Recipe,
    watch: &dyn Watch,
) -> Result<Profile, ProfileError> {
    let (sections, spans) = part_sections(mesh, linear, recipe, watch)?;
    Profile::compute(&sections, &spans, recipe, watch)
}

/// The section of a part's supports in every layer, in the part's own coordinates. `linear` as in [`part_profile`].
fn part_supports(
    mesh: &TriMesh,
    linear: &[[f64; 3]; 3],
    recipe: &Recipe,
    watch: &dyn Watch,
) -> Result<Vec<Arc<Region>>, ProfileError> {
    let (sections, spans) = part_sections(mesh, linear, recipe, watch)?;
    estimate::support_columns(&sections, &spans, recipe, watch)
}

/// Sends what work says as events.
struct Teller<'a> {
    ticket: &'a Ticket,
    tell: &'a (dyn Fn(Event) + Sync),
}

impl Watch for Teller<'_> {
    fn cancelled(&self) -> bool {
        self.ticket.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        (self.tell)(Event::Progress(self.ticket.id, done, what.into()));
    }
}

impl Watch<Plan> for Teller<'_> {
    fn cancelled(&self) -> bool {
        self.ticket.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        (self.tell)(Event::Progress(self.ticket.id, done, what.into()));
    }
}

impl Watch<Layout> for Teller<'_> {
    fn cancelled(&self) -> bool {
        self.ticket.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        (self.tell)(Event::Progress(self.ticket.id, done, what.into()));
    }
    fn improved(&self, best: &Layout) {
        (self.tell)(Event::Improved(self.ticket.id, Arc::new(best.clone())));
    }
}

impl Watch<DealStanding> for Teller<'_> {
    fn cancelled(&self) -> bool {
        self.ticket.cancelled()
    }
    fn progress(&self, done: f64, what: &str) {
        (self.tell)(Event::Progress(self.ticket.id, done, what.into()));
    }
    fn improved(&self, best: &DealStanding) {
        (self.tell)(Event::Dealing(self.ticket.id, *best));
    }
}
