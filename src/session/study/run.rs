//! A study under way or ended.

use crate::{
    batch::Spoils,
    document::{Footing, PartId, PlateId},
    studies::{CopiesRow, CopiesStudy, FootingRow, FootingStudy, PlateRow, PlateStudy, PlateVariant},
    work::Ticket,
};

/// How far a study is.
#[derive(Debug)]
pub enum StudyState {
    /// It runs: its share done, 0 to 1, and what it does.
    Running {
        /// Which work.
        ticket: Ticket,
        /// Share done.
        done: f64,
        /// "brim 5 mm".
        what: String,
    },
    /// All rows are there.
    Done,
    /// It was cancelled: the rows so far are there.
    Cancelled,
    /// One sentence on why there are no more rows.
    Failed(String),
}

/// A study with its rows so far.
#[derive(Debug)]
pub struct StudyRun<S, R> {
    /// What it started from.
    pub study: S,
    /// Its rows, in the order of its variants.
    pub rows: Vec<R>,
    /// How far it is.
    pub state: StudyState,
}

impl<S, R> StudyRun<S, R> {
    pub(super) fn new(study: S, ticket: Ticket) -> Self {
        Self { study, rows: Vec::new(), state: StudyState::Running { ticket, done: 0.0, what: String::new() } }
    }
    /// True while it runs.
    pub fn is_running(&self) -> bool {
        matches!(self.state, StudyState::Running { .. })
    }
    /// Its ticket, while it runs.
    pub(super) fn ticket(&self) -> Option<&Ticket> {
        match &self.state {
            StudyState::Running { ticket, .. } => Some(ticket),
            _ => None,
        }
    }
}

/// A study that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum StudyWish {
    /// Footings of a part; `None`: the usual ones and the suggested one.
    Footings(PartId, Option<Vec<Footing>>),
    /// A plate beside itself.
    Plate(PlateId, Vec<PlateVariant>),
    /// How many copies of a part at once.
    Copies {
        /// Which part.
        part: PartId,
        /// What a copy that fails spoils.
        spoils: Spoils,
        /// How sure the number wanted is to come out of the plates to start, 0 to 1.
        confidence: f64,
    },
}

/// The latest study of each kind, and the one that waits for outlines and layers.
#[derive(Debug, Default)]
pub(in crate::session) struct Studies {
    pub(super) footings: Option<StudyRun<FootingStudy, FootingRow>>,
    pub(super) plate: Option<StudyRun<PlateStudy, PlateRow>>,
    pub(super) copies: Option<StudyRun<CopiesStudy, CopiesRow>>,
    pub(super) waiting: Option<StudyWish>,
}
