//! What a part looks like from above, in its pose.

use std::{collections::BTreeMap, sync::Arc};

use crate::{
    document::{Job, PartId},
    geom::{Outline, Region},
};

/// Outlines of a part in its pose; the origin is the pose's origin (middle of the box in plan, on the bed).
#[derive(Debug, Clone)]
pub struct PartShape {
    /// All heights together.
    pub shadow: Outline,
    /// Where it touches the bed.
    pub contact: Outline,
    /// Its height, mm.
    pub height_mm: f64,
    /// What was added to the turned and scaled mesh to bring it to its origin, mm.
    pub shift_mm: [f64; 3],
    /// Its mirror image is the same part again, turned.
    pub own_mirror: bool,
}

impl PartShape {
    /// The outlines of nothing: of a part that has none.
    pub fn nothing() -> Self {
        let none = Outline::new(Region::EMPTY);
        Self { shadow: none.clone(), contact: none, height_mm: 0.0, shift_mm: [0.0; 3], own_mirror: false }
    }
}

/// Shapes of all parts whose meshes are there.
pub type Shapes = BTreeMap<PartId, Arc<PartShape>>;

/// How many of a part all plates make, twins counted: [`Job::made`], where a part's shape says whether it is its own mirror image.
pub fn made(job: &Job, part: PartId, shapes: &Shapes) -> usize {
    job.made(part, |id| shapes.get(&id).is_some_and(|s| s.own_mirror))
}
