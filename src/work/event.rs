//! What long work says.

use std::{path::PathBuf, sync::Arc};

use super::{HandedOver, Judged, Mended, ReadFile, StandingMass, TicketId};
use crate::{
    batch::sequence::{Order, Plan},
    estimate::{
        FootingProfile, Profile, ProfileError, RecipeFault,
        gauge::{GaugeError, Measured},
    },
    formats::read::ReadError,
    geom::Region,
    packing::Layout,
    plate::PartShape,
    stability::{PoseChoice, PoseView},
    studies::{CopiesRow, DealError, DealStanding, Dealt, FootingRow, MostInTime, PlateRow, StudyError},
};

/// What long work says, in the order it happens.
#[derive(Debug)]
pub enum Event {
    /// It has begun.
    Begin(TicketId),
    /// How far it is, 0 to 1, and what it does.
    Progress(TicketId, f64, String),
    /// A better layout.
    Improved(TicketId, Arc<Layout>),
    /// A better dealing of the order.
    Dealing(TicketId, DealStanding),
    /// A study has finished one footing.
    FootingRow(TicketId, Box<FootingRow>),
    /// A study has finished one way for a plate to stand.
    PlateRow(TicketId, Box<PlateRow>),
    /// A study has finished one number of copies.
    CopiesRow(TicketId, Box<CopiesRow>),
    /// It has ended.
    End {
        /// Which.
        ticket: TicketId,
        /// It was told to stop.
        cancelled: bool,
        /// What came of it; `None` where a cancelled one has nothing to show.
        answer: Option<Answer>,
    },
}

/// What came of it.
#[derive(Debug)]
pub enum Answer {
    /// A file was read.
    Mesh(Result<ReadFile, ReadError>),
    /// Files that are not there.
    Gone(Vec<PathBuf>),
    /// A part's mesh put right.
    Mended(Arc<Mended>),
    /// Outlines of a part.
    Shape(Arc<PartShape>),
    /// A part's time and filament, layer by layer.
    Profile {
        /// The profile.
        profile: Result<Arc<Profile>, ProfileError>,
        /// It was computed, not kept from before.
        computed: bool,
    },
    /// The section of a part's supports in every layer.
    Supports(Arc<Vec<Arc<Region>>>),
    /// A part's mass over height.
    Mass(Arc<StandingMass>),
    /// How firmly a part stands.
    Judged(Arc<Judged>),
    /// Ways to lay a part down, best first.
    Poses(Arc<Vec<PoseChoice>>),
    /// Ways to lay a part down, drawn.
    PoseViews(Arc<Vec<PoseView>>),
    /// A footing's time and filament.
    Footing(Result<Arc<FootingProfile>, RecipeFault>),
    /// Where copies go.
    Layout(Arc<Layout>),
    /// Where as many copies go as end in time, or one sentence on why that cannot be told.
    InTime(Result<(Arc<Layout>, MostInTime), String>),
    /// A machine-code file was measured.
    Measured(Result<Arc<Measured>, GaugeError>),
    /// The hand-over files, or one sentence on why there are none.
    HandedOver(Result<HandedOver, String>),
    /// An order of plates that names each once, and its plan.
    Sequence(Box<(Order, Plan)>),
    /// A study has ended: whether it is complete.
    Studied(Result<bool, StudyError>),
    /// The order is dealt out.
    Dealt(Result<Arc<Dealt>, DealError>),
    /// The work stopped on a fault of ours; the rest goes on.
    Failed(String),
}
