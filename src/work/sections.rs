//! A part cut into layers.

use crate::{
    document::Recipe,
    estimate::{self, LayerSpan, ProfileError},
    geom::Region,
    mesh::{self, TriMesh},
    watch::Watch,
};

/// A part cut at the middle of each of its layers.
pub(super) fn part_sections(
    mesh: &TriMesh,
    linear: &[[f64; 3]; 3],
    recipe: &Recipe,
    watch: &dyn Watch,
) -> Result<(Vec<Region>, Vec<LayerSpan>), ProfileError> {
    let (posed, _) = mesh.posed(linear);
    let spans = estimate::layers(recipe, posed.bounds().map_or(0.0, |b| b[1][2]));
    let middles: Vec<f64> = spans.iter().map(|s| s.middle_mm).collect();
    let sections = mesh::sections(&posed, &middles, watch).ok_or(ProfileError::Cancelled)?;
    Ok((sections, spans))
}
