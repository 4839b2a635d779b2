//! What is dealt: parts with their footing, in groups that may share a plate.

use super::line_time::LineTime;
use crate::{
    batch::sequence::Load,
    document::{Footing, MaterialId, PartId, RecipeId},
};

/// Copies that may lie on one plate: equal material, colour and recipe.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    pub(super) material: MaterialId,
    pub(super) colour: String,
    pub(super) recipe: RecipeId,
    pub(super) load: Load,
}

/// Copies of one part on one footing.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) part: PartId,
    pub(super) footing: Footing,
    /// Which of the groups.
    pub(super) group: usize,
    /// How many are dealt.
    pub(super) count: u32,
    /// When they are due, s from the start of the plan.
    pub(super) due_s: Option<i64>,
    /// Height on the bed, its raft included, mm.
    pub(super) height_mm: f64,
    /// Its outline from above, grown by half the gap, mm².
    pub(super) grown_mm2: f64,
    /// Whether each kind of bed takes one.
    pub(super) takes: Vec<bool>,
    pub(super) time: LineTime,
    /// The line of its mirror image: itself, or the other hand; `None` where there is none.
    pub(super) mirrored: Option<usize>,
}
