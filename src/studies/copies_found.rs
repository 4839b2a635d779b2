//! What a copies study names by ids, found.

use super::{StudiedPart, StudyError};
use crate::{
    batch::{RepeatedPlate, cool_down_s},
    document::{Footing, Job, Machine, Material, Part, Recipe},
    estimate::{self, PlateCopy, PlateEstimate, PlateInput, Tour},
};

/// The things that a study names by their ids.
pub(super) struct Found<'a> {
    pub(super) job: &'a Job,
    pub(super) part: &'a Part,
    pub(super) machine: &'a Machine,
    pub(super) material: &'a Material,
    pub(super) recipe: &'a Recipe,
    pub(super) studied: &'a StudiedPart,
}

impl Found<'_> {
    /// Height of a copy on the bed, its raft included, mm.
    pub(super) fn height_mm(&self) -> f64 {
        let lift_mm = match self.part.footing {
            Footing::Raft { .. } => self.recipe.raft_height_mm(),
            Footing::Bare | Footing::Brim { .. } => 0.0,
        };
        self.studied.shape.height_mm + lift_mm
    }

    /// The cycle of a plate of so many seconds.
    pub(super) fn repeated(&self, plate_s: f64) -> RepeatedPlate {
        let c = &self.job.shifts.changeover;
        RepeatedPlate {
            plate_s,
            cooling_s: cool_down_s(self.machine, self.material, c),
            changeover_s: c.removal_s + c.preparing_s,
        }
    }

    /// A plate's estimate, its way exact.
    pub(super) fn estimated(&self, recipe: &Recipe, copies: &[PlateCopy]) -> Result<PlateEstimate, StudyError> {
        let Self { machine, material, .. } = *self;
        Ok(estimate::plate(&PlateInput { machine, material, recipe, copies }, Tour::Exact)?)
    }
}
