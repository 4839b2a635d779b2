//! A plate as the estimate needs it.

use std::sync::Arc;

use super::{FootingProfile, LayerWork, Profile};
use crate::{
    document::{CopyId, Machine, Material, Recipe},
    geom::{Placement, Point},
};

/// One copy as the estimate needs it.
#[derive(Debug, Clone)]
pub struct PlateCopy {
    /// Which copy it is.
    pub copy: CopyId,
    /// What it costs, shared by all copies of the same part.
    pub profile: Arc<Profile>,
    /// What its footing costs, shared likewise.
    pub footing: Arc<FootingProfile>,
    /// Where it stands.
    pub placement: Placement,
}

impl PlateCopy {
    /// Where the head comes to it and leaves it, on the mean of all layers.
    pub(super) fn anchor(&self) -> Point {
        self.placement.apply(self.profile.anchor())
    }
    /// The copy's own layer on layer `i` of the plate, if it arrives there from its layer below.
    pub(super) fn arrival(&self, i: usize) -> Option<&LayerWork> {
        let own = i.checked_sub(self.footing.lift_layers())?;
        self.profile.layers().get(own).filter(|l| l.arrival_mm > 0.0)
    }
}

/// A plate as the estimate needs it. All copies are laid in the plate's one recipe.
#[derive(Debug, Clone, Copy)]
pub struct PlateInput<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The material.
    pub material: &'a Material,
    /// The recipe.
    pub recipe: &'a Recipe,
    /// The copies.
    pub copies: &'a [PlateCopy],
}
