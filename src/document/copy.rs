//! Copies.

use serde::{Deserialize, Serialize};

use super::{CopyId, Footing, PartId};
use crate::geom::Placement;

/// One copy of a part on a plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Copy {
    /// Its id in the job.
    pub id: CopyId,
    /// Its part.
    pub part: PartId,
    /// Its number among the copies of its part: "E 14" is number 14.
    pub number: u32,
    /// Where the pose's origin lands on the bed.
    pub x_mm: f64,
    /// Where the pose's origin lands on the bed.
    pub y_mm: f64,
    /// Turn about Z, counter-clockwise from above, degrees: kept as typed, so that 90 stays 90.
    pub turn_deg: f64,
    /// Stays where it is when things are arranged.
    #[serde(default)]
    pub locked: bool,
    /// Its own footing; `None` for the part's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footing: Option<Footing>,
}

impl Copy {
    /// Where it lies, as geometry wants it.
    pub fn placement(&self) -> Placement {
        Placement::new(self.x_mm, self.y_mm, self.turn_deg.to_radians())
    }
}
