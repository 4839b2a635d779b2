//! What the footing of one copy costs: brim loops on the first layer, or raft layers under the part.

use crate::{
    document::{Footing, Recipe},
    geom::{Point, Region, hull, offset},
};

use super::{LayerWork, RecipeFault, check_recipe, pace::Pace, paths::Tracer, sums::Sums};

/// How far a brim loop may stray from the true offset, mm.
const TOLERANCE_MM: f64 = 0.005;

/// What the footing of one copy costs, layer by layer.
///
/// A brim is loops on the plate's first layer, from the contact outwards. A raft is the recipe's number of solid layers under the
/// part, on the plate's own layer grid: the first one as high as a first layer, the others as high as any. The part's layer k
/// then lies on the plate's layer `lift_layers + k`; that its lowest layer keeps the first layer's bead is neglected in height.
#[derive(Debug, Clone, PartialEq)]
pub struct FootingProfile {
    layers: Vec<LayerWork>,
    sums: Vec<Sums>,
    lift_layers: usize,
    hull: Vec<Point>,
}

impl FootingProfile {
    /// `contact` is where the part touches the bed, in its pose.
    ///
    /// # Errors
    /// A recipe that [`check_recipe`] refuses, or a footing width that is not a number between 0 and 500 mm.
    pub fn compute(contact: &Region, footing: Footing, recipe: &Recipe) -> Result<Self, RecipeFault> {
        check_recipe(recipe)?;
        let width = footing.width_mm();
        if !(0.0..=500.0).contains(&width) {
            return Err(RecipeFault::OutOfRange {
                what: "footing width",
                value: width,
                unit: "mm",
                least: 0.0,
                most: 500.0,
            });
        }
        let contact = Region {
            polygons: contact.polygons.iter().filter(|p| p.loops().flatten().all(|v| v.is_finite())).cloned().collect(),
        };
        let grown = offset::grow(&contact, width, TOLERANCE_MM);
        let (layers, lift_layers) = match footing {
            _ if contact.is_empty() => (Vec::new(), 0),
            Footing::Bare => (Vec::new(), 0),
            Footing::Brim { .. } => {
                let pace = Pace::new(recipe, true)?;
                let bead = recipe.bead_width_mm;
                let loops = (width / bead).round() as usize;
                let mut work = Vec::new();
                if loops > 0 {
                    let mut rings = Region::EMPTY;
                    for i in (0..loops).rev() {
                        rings.polygons.extend(offset::grow(&contact, (i as f64 + 0.5) * bead, TOLERANCE_MM).polygons);
                    }
                    work.push(Tracer::new(&pace).footing(&rings, &Region::EMPTY, 0.0));
                }
                (work, 0)
            }
            Footing::Raft { .. } => {
                let layers: Result<Vec<LayerWork>, RecipeFault> = (0..recipe.raft_layers as usize)
                    .map(|i| {
                        let pace = Pace::new(recipe, i == 0)?;
                        let angle = if i % 2 == 0 { 0.0 } else { std::f64::consts::FRAC_PI_2 };
                        Ok(Tracer::new(&pace).footing(&Region::EMPTY, &grown, angle))
                    })
                    .collect();
                (layers?, recipe.raft_layers as usize)
            }
        };
        let sums = layers.iter().map(Sums::of).collect();
        let hull = hull::convex_hull(grown.outer_vertices());
        Ok(Self { layers, sums, lift_layers, hull })
    }
    /// A footing of nothing.
    pub fn none() -> Self {
        Self { layers: Vec::new(), sums: Vec::new(), lift_layers: 0, hull: Vec::new() }
    }
    /// Its layers from the bed up.
    pub fn layers(&self) -> &[LayerWork] {
        &self.layers
    }
    /// How many layers the part is raised by.
    pub fn lift_layers(&self) -> usize {
        self.lift_layers
    }
    /// How much that is, mm.
    pub fn lift_mm(&self, recipe: &Recipe) -> f64 {
        if self.lift_layers == 0 { 0.0 } else { super::layer_span(recipe, self.lift_layers - 1).top_mm }
    }
    /// Volume of all beads, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.layers.iter().map(LayerWork::volume_mm3).sum()
    }
    pub(super) fn sums(&self) -> &[Sums] {
        &self.sums
    }
    /// Convex hull of the footing, in the part's frame: what a skirt goes round.
    pub(super) fn hull(&self) -> &[Point] {
        &self.hull
    }
}
