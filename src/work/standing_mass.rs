//! A part's mass over height with what else judging it takes.

use crate::{geom::Region, stability::MassProfile};

/// What it takes to judge how firmly a part stands, whatever its footing and material.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingMass {
    /// Its mass over height.
    pub mass: MassProfile,
    /// What its supports stand on; empty without supports.
    pub supports: Region,
    /// Its sections, coarse: for drawings from the side.
    pub sections: Vec<Region>,
}
