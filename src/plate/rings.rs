//! Margin rings.

use std::sync::Arc;

use super::{PartShape, PreparedShape};
use crate::{
    document::{Copy, Job},
    geom::Region,
};

/// The drawn rings round a copy, in bed millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Rings {
    /// The contact grown by the footing's width; the contact itself where bare.
    pub footing: Region,
    /// The shadow grown by half the gap.
    pub gap_ring: Region,
}

/// The rings of one copy, made afresh; [`super::Prepared`] is the way for many.
pub fn rings(job: &Job, copy: &Copy, shape: &PartShape) -> Rings {
    PreparedShape::new(Arc::new(shape.clone()), job.footing(copy), &job.margins).rings_at(copy.placement())
}
