//! A part's mass over height.

use std::sync::Arc;

use rayon::prelude::*;

use super::{sections::part_sections, standing_mass::StandingMass};
use crate::{
    document::Recipe,
    estimate,
    geom::{Region, simplify},
    mesh::TriMesh,
    stability::MassProfile,
    watch::Watch,
};

/// How coarse the kept sections are, mm: a drawing from the side is a few hundred points wide.
const COARSE_MM: f64 = 0.1;

/// The mass over height of a mesh in its pose, and what its supports stand on. `linear` maps file coordinates to posed millimetres,
/// row vectors. `None` when cancelled, and for recipes that are refused.
pub fn part_mass(
    mesh: &TriMesh,
    linear: &[[f64; 3]; 3],
    recipe: &Recipe,
    watch: &dyn Watch,
) -> Option<Arc<StandingMass>> {
    let (sections, spans) = part_sections(mesh, linear, recipe, watch).ok()?;
    let tops: Vec<f64> = spans.iter().map(|s| s.top_mm).collect();
    let mass = MassProfile::new(&sections, &tops, recipe.bead_width_mm, watch)?;
    let columns = match recipe.support {
        Some(_) => estimate::support_columns(&sections, &spans, recipe, watch).ok()?,
        None => Vec::new(),
    };
    let supports = columns.first().map_or(Region::EMPTY, |first| first.as_ref().clone());
    let sections = sections.par_iter().map(|s| simplify::outward(s, COARSE_MM)).collect();
    Some(Arc::new(StandingMass { mass, supports, sections }))
}
