//! The skirt: a thin line a bead.

use std::sync::Arc;

use super::{Dash, Ink, Mark};
use crate::geom::Region;

/// A line along the middle of each bead of a skirt: thinner and paler than a footing's, for it holds nothing down.
pub fn skirt_marks(loops: &[Arc<Region>]) -> Vec<Mark> {
    let line = |region: &Arc<Region>| Mark::Outline {
        region: region.clone(),
        ink: Ink::Faint,
        width_pt: 0.5,
        dash: Dash::Solid,
    };
    loops.iter().map(line).collect()
}
