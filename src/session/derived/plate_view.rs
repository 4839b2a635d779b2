//! What is derived of a plate.

use std::sync::Arc;

use crate::{
    document::{Assumptions, Machine, Margins, Material, Part, Plate, Recipe},
    estimate::{PlateEstimate, SpoolUse},
    finding::Finding,
    plate::{Checker, Conflict},
    session::derived::standing::PartStanding,
};

/// What is derived of a plate.
#[derive(Debug, Clone, Default)]
pub struct PlateView {
    /// Conflicts.
    pub conflicts: Vec<Conflict>,
    /// Time, cooling, filament; `None` while profiles are still computed or numbers make no sense.
    pub estimate: Option<PlateEstimate>,
    /// Why there is no estimate: still computing (`None`), or a sentence.
    pub no_estimate: Option<String>,
    /// Findings of this plate, gravest first.
    pub findings: Vec<Finding>,
    /// What it takes from its spool; `None` without one, or while it is not known.
    pub spool: Option<SpoolUse>,
    /// What its second carriage takes from the other spool, where it is printed twice at once.
    pub twin_spool: Option<SpoolUse>,
    /// How firmly its copies stand: those of one part with one footing together; parts still worked out are left out.
    pub standing: Vec<PartStanding>,
    pub(super) inputs: Option<Inputs>,
    pub(super) checker: Option<Arc<Checker>>,
}

/// All that a plate's view depends on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inputs {
    pub(super) plate: Plate,
    pub(super) machine: Option<Machine>,
    pub(super) material: Option<Material>,
    pub(super) recipe: Option<Recipe>,
    pub(super) margins: Margins,
    pub(super) assumptions: Assumptions,
    pub(super) parts: Vec<Part>,
    pub(super) generation: u64,
}
