//! What one copy of a part costs, layer by layer, wherever it stands.

use std::sync::{
    Arc,
    atomic::{AtomicUsize, Ordering},
};

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::{
    document::{Recipe, RecipeId, Support},
    geom::{Point, Polygon, Region, simplify},
    watch::Watch,
};

use super::{
    LayerSpan, LayerWork, RecipeFault,
    pace::Pace,
    paths::{Cover, Covered, Tracer},
    sums::Sums,
    support,
};

/// Sections are thinned to this before paths are laid, mm: far below what a head follows.
pub const SECTION_TOLERANCE_MM: f64 = 0.005;
/// Layers are laid at this angle and a quarter turn from it in turns, fixed to the part.
const SCAN_RAD: f64 = std::f64::consts::FRAC_PI_4;

/// Why there is no profile.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProfileError {
    /// The watch said stop.
    #[error("stopped")]
    Cancelled,
    /// The recipe's numbers make no sense.
    #[error(transparent)]
    Recipe(#[from] RecipeFault),
}

/// What one copy of a part costs in one recipe, layer by layer, alone and without its footing.
///
/// Paths are laid in the part's own frame, so that neither its place nor its turn about Z changes anything.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(from = "Vec<LayerWork>", into = "Vec<LayerWork>")]
pub struct Profile {
    layers: Vec<LayerWork>,
    sums: Vec<Sums>,
    anchor: Point,
}

impl Profile {
    /// Lays and times the paths of every layer. `sections[i]` is the part's section at the middle of `spans[i]`, in its pose,
    /// origin at the pose's origin, millimetres; where the numbers of both differ, the shorter counts. Layers with equal sections are laid once.
    /// On all cores (rayon); looks at the watch every layer.
    ///
    /// # Errors
    /// [`ProfileError::Cancelled`] when the watch says so; [`ProfileError::Recipe`] for a recipe that [`super::check_recipe`] refuses.
    pub fn compute(
        sections: &[Region],
        spans: &[LayerSpan],
        recipe: &Recipe,
        watch: &dyn Watch,
    ) -> Result<Self, ProfileError> {
        let n = sections.len().min(spans.len());
        let first = Pace::new(recipe, true)?;
        let above = Pace::new(recipe, false)?;
        let stop = || if watch.cancelled() { Err(ProfileError::Cancelled) } else { Ok(()) };

        let done = AtomicUsize::new(0);
        let total = 3 * n.max(1);
        let step = |what: &str, by: usize| {
            let before = done.fetch_add(by, Ordering::Relaxed);
            if (before * 100 / total) != ((before + by) * 100 / total) {
                watch.progress((before + by) as f64 / total as f64, what);
            }
        };

        let thinned: Result<Vec<Region>, ProfileError> = sections[..n]
            .par_iter()
            .map(|s| {
                stop()?;
                step("sections", 1);
                Ok(simplify::within(&finite(s), SECTION_TOLERANCE_MM))
            })
            .collect();
        let thinned = shared(thinned?);
        // The cover decides where lines are solid: an eighth of a bead is exact enough and far quicker.
        let coarse: Result<Vec<Region>, ProfileError> = (0..n)
            .into_par_iter()
            .map(|i| {
                stop()?;
                step("sections", 1);
                if i > 0 && Arc::ptr_eq(&thinned[i], &thinned[i - 1]) {
                    return Ok(Region::EMPTY);
                }
                Ok(simplify::within(&thinned[i], recipe.bead_width_mm / 8.0))
            })
            .collect();
        let mut coarse: Vec<Arc<Region>> = coarse?.into_iter().map(Arc::new).collect();
        for i in 1..n {
            if Arc::ptr_eq(&thinned[i], &thinned[i - 1]) {
                coarse[i] = coarse[i - 1].clone();
            }
        }
        let cover = Cover::new(&coarse, recipe.solid_top, recipe.solid_bottom, watch).ok_or(ProfileError::Cancelled)?;
        let covered: Vec<Covered> = {
            let all: Result<Vec<Covered>, ProfileError> =
                (0..n).into_par_iter().map(|i| stop().map(|()| cover.of(i))).collect();
            all?
        };
        let columns = match &recipe.support {
            Some(support) => columns(&sections[..n], &spans[..n], support, recipe.bead_width_mm, watch)?,
            None => std::iter::repeat_n(Arc::new(Region::EMPTY), n).collect(),
        };
        // The layer two below is laid in the same direction: where nothing else differs, its paths are these.
        let mut same: Vec<usize> = (0..n).collect();
        for i in 3..n {
            if Arc::ptr_eq(&thinned[i], &thinned[i - 2])
                && alike(&covered[i], &covered[i - 2])
                && *columns[i] == *columns[i - 2]
            {
                same[i] = same[i - 2];
            }
        }
        let laid: Result<Vec<LayerWork>, ProfileError> = (0..n)
            .into_par_iter()
            .map(|i| {
                stop()?;
                step("paths", 1);
                if same[i] != i {
                    return Ok(LayerWork::default());
                }
                let angle = SCAN_RAD + if i % 2 == 0 { 0.0 } else { std::f64::consts::FRAC_PI_2 };
                let tracer = Tracer::new(if i == 0 { &first } else { &above });
                let laid = tracer.part(&thinned[i], &covered[i], &columns[i], angle, &|| watch.cancelled());
                laid.ok_or(ProfileError::Cancelled)
            })
            .collect();
        let laid = laid?;
        let mut layers: Vec<LayerWork> = (0..n).map(|i| laid[same[i]]).collect();
        // Layers are laid each for itself, so that equal ones are laid once; the ways between them come afterwards.
        let mut end: Option<Point> = None;
        for (layer, section) in layers.iter_mut().zip(&thinned) {
            stop()?;
            // What is laid as the mean of many layers has no place.
            if layer.is_empty() || (layer.begin, layer.end) == (Point::default(), Point::default()) {
                continue;
            }
            if let Some(from) = end {
                layer.arrive_from(from, section);
            }
            end = Some(layer.end);
        }
        Ok(Self::of(layers))
    }

    fn of(layers: Vec<LayerWork>) -> Self {
        let sums = layers.iter().map(Sums::of).collect();
        let (mut middle, mut count) = (Point::default(), 0.0);
        for l in layers.iter().filter(|l| !l.is_empty()) {
            middle += l.begin.lerp(l.end, 0.5);
            count += 1.0;
        }
        Self { layers, sums, anchor: if count > 0.0 { middle * (1.0 / count) } else { middle } }
    }

    /// Its layers from the bottom.
    pub fn layers(&self) -> &[LayerWork] {
        &self.layers
    }
    /// Where the head comes to and leaves from, on the mean of all layers; in the part's frame.
    pub fn anchor(&self) -> Point {
        self.anchor
    }
    /// Volume of all beads, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.layers.iter().map(LayerWork::volume_mm3).sum()
    }
    /// Time of all its layers, unslowed, without moves between copies and layer changes, at a time factor of 1, s.
    pub fn time_s(&self) -> f64 {
        self.sums.iter().map(Sums::time_s).sum()
    }
    pub(super) fn sums(&self) -> &[Sums] {
        &self.sums
    }
}

impl From<Vec<LayerWork>> for Profile {
    fn from(layers: Vec<LayerWork>) -> Self {
        Self::of(layers)
    }
}

impl From<Profile> for Vec<LayerWork> {
    fn from(profile: Profile) -> Self {
        profile.layers
    }
}

/// A recipe with only the numbers that a profile depends on; what it is called and what counts for a whole plate is plain.
/// Recipes that are equal after this have equal profiles.
#[must_use]
pub fn profile_recipe(recipe: &Recipe) -> Recipe {
    let plain = Recipe::plain(RecipeId(0));
    Recipe {
        id: plain.id,
        name: String::new(),
        layer_change_s: plain.layer_change_s,
        skirt_loops: plain.skirt_loops,
        skirt_gap_mm: plain.skirt_gap_mm,
        raft_layers: plain.raft_layers,
        raft_solid_top: plain.raft_solid_top,
        raft_density: plain.raft_density,
        purge_mm3: plain.purge_mm3,
        floor: plain.floor,
        wait_when_short: plain.wait_when_short,
        time_factor: plain.time_factor,
        ..recipe.clone()
    }
}

/// The section of a part's supports in every layer, as its profile has them; none where the recipe has no supports.
/// `sections[i]` is cut at the middle of `spans[i]`.
///
/// # Errors
/// Cancelled.
pub fn support_columns(
    sections: &[Region],
    spans: &[LayerSpan],
    recipe: &Recipe,
    watch: &dyn Watch,
) -> Result<Vec<Arc<Region>>, ProfileError> {
    let n = sections.len().min(spans.len());
    match &recipe.support {
        Some(support) => columns(&sections[..n], &spans[..n], support, recipe.bead_width_mm, watch),
        None => Ok(Vec::new()),
    }
}

/// Supports of every layer, thinned as sections are.
fn columns(
    sections: &[Region],
    spans: &[LayerSpan],
    support: &Support,
    bead_mm: f64,
    watch: &dyn Watch,
) -> Result<Vec<Arc<Region>>, ProfileError> {
    let fine = shared(sections.par_iter().map(|s| simplify::within(&finite(s), support::FINE_MM)).collect());
    let middles: Vec<f64> = spans.iter().map(|s| s.middle_mm).collect();
    // What is smaller than a tenth of a bead's square is not printed.
    support::columns(&fine, &middles, support, 0.1 * bead_mm * bead_mm, watch).ok_or(ProfileError::Cancelled)
}

/// Farther from the part's origin nothing is laid, mm: a kilometre.
const FARTHEST_MM: f64 = 1e6;

/// Without polygons that hold a coordinate which is not a number, or one that no machine reaches.
fn finite(section: &Region) -> Region {
    let whole = |p: &&Polygon| p.loops().flatten().all(|v| v.x.abs() <= FARTHEST_MM && v.y.abs() <= FARTHEST_MM);
    Region { polygons: section.polygons.iter().filter(whole).cloned().collect() }
}

/// Equal neighbours share one section.
fn shared(regions: Vec<Region>) -> Vec<Arc<Region>> {
    let mut out: Vec<Arc<Region>> = Vec::with_capacity(regions.len());
    for r in regions {
        match out.last() {
            Some(last) if **last == r => out.push(last.clone()),
            _ => out.push(Arc::new(r)),
        }
    }
    out
}

fn alike(a: &Covered, b: &Covered) -> bool {
    match (a, b) {
        (Covered::Here(a), Covered::Here(b)) => Arc::ptr_eq(a, b),
        (Covered::Nowhere, Covered::Nowhere) | (Covered::Everywhere, Covered::Everywhere) => true,
        _ => false,
    }
}
