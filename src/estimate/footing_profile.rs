//! What the footing of one copy costs: brim loops on the first layer, or raft layers under the part.

use crate::{
    document::{
        Footing, Recipe,
        limits::{Allowed, FOOTING_WIDTH},
    },
    geom::{Point, Region, hull, offset, simplify},
};

use super::{
    LayerWork, RecipeFault, check_recipe,
    motion::rest_to_rest_s,
    pace::Pace,
    paths::{Covered, Run, Tracer},
    sums::Sums,
};

/// How far a loop may stray from the true offset, mm.
pub(super) const TOLERANCE_MM: f64 = 0.005;
/// Loops of a brim are laid one by one as far out as this, mm, ...
const SINGLE_MM: f64 = 20.0;
/// ... and no more than so many.
const MOST_SINGLE: usize = 100;
/// Loops beyond those are laid in so many groups at most, one loop for all of a group.
const MOST_GROUPS: usize = 8;

/// What the footing of one copy costs, layer by layer.
///
/// A brim is loops on the plate's first layer, from the contact outwards. A raft is the recipe's number of layers under the
/// part, the topmost solid and those below as dense as the recipe says, on the plate's own layer grid: the first one as high as a first
/// layer, the others as high as any. The part's layer k then lies on the plate's layer `lift_layers + k`; that its lowest layer keeps the first layer's bead is neglected in height. A part
/// that touches the bed nowhere is raised all the same, by layers on which nothing is laid: what is drawn at a height and the height
/// limit know its footing alone.
///
/// Loops within 20 mm of the contact (100 of them at most) are laid one by one. Farther out, eight loops stand for all: each group
/// of loops has the length that its area asks for (area over bead width), and the time for each millimetre of the loop in its middle. The
/// volume stays true within 0.5 %, the time within 2 %; the moves between these loops count as one bead each.
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
    /// A recipe that [`check_recipe`] refuses, or a footing width that is not allowed.
    pub fn compute(contact: &Region, footing: Footing, recipe: &Recipe) -> Result<Self, RecipeFault> {
        check_recipe(recipe)?;
        let width = footing.width_mm();
        if !FOOTING_WIDTH.holds(width) {
            let Allowed { name: what, unit, least, most } = FOOTING_WIDTH;
            return Err(RecipeFault::OutOfRange { what, value: width, unit, least, most });
        }
        let contact = Region {
            polygons: contact.polygons.iter().filter(|p| p.loops().flatten().all(|v| v.is_finite())).cloned().collect(),
        };
        let grown = offset::grow(&contact, width, TOLERANCE_MM);
        let (layers, lift_layers) = match footing {
            Footing::Bare => (Vec::new(), 0),
            Footing::Brim { .. } if contact.is_empty() => (Vec::new(), 0),
            Footing::Brim { .. } => {
                let bead = recipe.bead_width_mm;
                let loops = (width / bead).round() as usize;
                let single = MOST_SINGLE.min((SINGLE_MM / bead).ceil() as usize);
                let work = if loops > 0 { vec![brim(&contact, loops, single, recipe)?] } else { Vec::new() };
                (work, 0)
            }
            Footing::Raft { .. } => {
                let lift = lift_layers(footing, recipe);
                let mut layers: Vec<LayerWork> = Vec::with_capacity(lift);
                let is_solid = |i: usize| recipe.raft_density >= 1.0 || i + recipe.raft_solid_top as usize >= lift;
                for i in 0..lift {
                    // Above the first layer all of one direction are alike, solid ones and sparse ones.
                    let work = if i >= 3 && is_solid(i) == is_solid(i - 2) {
                        layers[i - 2]
                    } else {
                        raft_layer(&grown, recipe, i, is_solid(i))?
                    };
                    layers.push(work);
                }
                (layers, lift)
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

/// Layer `i` of a raft: filled, or with lines as far apart as the density asks for.
fn raft_layer(area: &Region, recipe: &Recipe, i: usize, solid: bool) -> Result<LayerWork, RecipeFault> {
    let mut pace = Pace::new(recipe, i == 0)?;
    let angle = if i.is_multiple_of(2) { 0.0 } else { std::f64::consts::FRAC_PI_2 };
    let filled = Tracer::new(&pace).footing(&Region::EMPTY, area, angle);
    if solid {
        return Ok(filled);
    }
    // Sparse lines are laid as columns of supports are.
    pace.support_density = recipe.raft_density;
    let sparse = Tracer::new(&pace).part(&Region::EMPTY, &Covered::Nowhere, area, angle, &|| false).unwrap_or_default();
    let LayerWork { area_mm2, perimeter_mm, bulk_area_mm2, bulk_perimeter_mm, .. } = filled;
    let footing = sparse.support;
    let support = Run::default();
    Ok(LayerWork { support, footing, area_mm2, perimeter_mm, bulk_area_mm2, bulk_perimeter_mm, ..sparse })
}

/// How many layers a footing raises a part by.
pub fn lift_layers(footing: Footing, recipe: &Recipe) -> usize {
    match footing {
        Footing::Raft { .. } => recipe.raft_layers as usize,
        Footing::Bare | Footing::Brim { .. } => 0,
    }
}

/// So many loops round the contact, the outermost first; beyond the first `single` ones in groups.
pub(super) fn brim(contact: &Region, loops: usize, single: usize, recipe: &Recipe) -> Result<LayerWork, RecipeFault> {
    let pace = Pace::new(recipe, true)?;
    let bead = recipe.bead_width_mm;
    let single = loops.min(single);
    let mut rings = Region::EMPTY;
    for i in (0..single).rev() {
        rings.polygons.extend(offset::grow(contact, (i as f64 + 0.5) * bead, TOLERANCE_MM).polygons);
    }
    let mut work = Tracer::new(&pace).footing(&rings, &Region::EMPTY, 0.0);
    let rest = loops - single;
    if rest == 0 {
        return Ok(work);
    }
    // What is finer than the tolerance need not be grown again and again. All groups are grown from here: errors do not add up.
    let within = simplify::within(&offset::grow(contact, single as f64 * bead, TOLERANCE_MM), TOLERANCE_MM);
    let groups = rest.min(MOST_GROUPS);
    let mut area = within.area();
    let mut before = 0;
    for group in 1..=groups {
        let end = rest * group / groups;
        let count = (end - before) as f64;
        let middle = offset::grow(&within, (before + end) as f64 * 0.5 * bead, TOLERANCE_MM);
        let grown_area = offset::grow(&within, end as f64 * bead, TOLERANCE_MM).area();
        let sample = Tracer::new(&pace).footing(&middle, &Region::EMPTY, 0.0).footing;
        let length_mm = (grown_area - area).max(0.0) / bead;
        let scale = length_mm / sample.length_mm.max(1e-9);
        work.footing.add(Run {
            length_mm,
            volume_mm3: length_mm * bead * pace.height_mm,
            time_s: sample.time_s * scale,
            slowest_s: sample.slowest_s * scale,
        });
        let moves = count * middle.loops().count() as f64;
        work.travel_mm += moves * bead;
        work.travel_s += moves * rest_to_rest_s(bead, pace.travel_mm_s, pace.travel_acceleration);
        (area, before) = (grown_area, end);
    }
    Ok(work)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        document::RecipeId,
        geom::{Bounds, Polygon},
    };

    fn near(value: f64, wanted: f64, share: f64) {
        assert!((value / wanted - 1.0).abs() <= share, "{value} is not {wanted} within {share}");
    }

    fn square(side: f64) -> Region {
        Region::rectangle(Bounds::new(Point::default(), Point::new(side, side)))
    }

    /// Two combs with teeth of 1 mm, 50 mm apart: deep bays, and outlines that meet on the way out.
    fn combs() -> Region {
        let mut points = vec![Point::new(0.0, -10.0), Point::new(79.0, -10.0)];
        for i in (0..40).rev() {
            let x = 2.0 * f64::from(i);
            points.extend([(x + 1.0, 0.0), (x + 1.0, 20.0), (x, 20.0), (x, 0.0)].map(|(x, y)| Point::new(x, y)));
        }
        let comb = Region::from(Polygon::simple(points));
        let mut both = comb.clone();
        both.polygons.extend(comb.map(|p| p + Point::new(0.0, 80.0)).polygons);
        both
    }

    /// Loops laid in groups cost what the same loops cost one by one.
    #[test]
    fn groups_cost_what_single_loops_cost() {
        let recipe = Recipe::plain(RecipeId(1));
        for contact in [square(20.0), combs()] {
            let loops = 110;
            let single = brim(&contact, loops, loops, &recipe).expect("sound");
            let grouped = brim(&contact, loops, 44, &recipe).expect("sound");
            near(grouped.volume_mm3(), single.volume_mm3(), 0.005);
            near(grouped.footing.time_s, single.footing.time_s, 0.02);
            near(grouped.footing.slowest_s, single.footing.slowest_s, 0.02);
        }
    }

    /// Steiner: a square of side s grown by d has 4 s d + π d² more. Up to 20 mm every loop is laid.
    #[test]
    fn a_wide_brim_fills_its_area() {
        let recipe = Recipe::plain(RecipeId(1));
        for width_mm in [9.0, 18.0, 45.0, 90.0] {
            let f = FootingProfile::compute(&square(20.0), Footing::Brim { width_mm }, &recipe).expect("sound");
            let area = 80.0 * width_mm + std::f64::consts::PI * width_mm * width_mm;
            near(f.volume_mm3(), area * recipe.first_layer_mm, 0.005);
        }
    }

    /// The widest brim of the finest bead: 2000 loops round 80 teeth, which one by one would take minutes.
    #[test]
    fn the_widest_brim_ends() {
        let recipe =
            Recipe { bead_width_mm: 0.05, layer_height_mm: 0.05, first_layer_mm: 0.05, ..Recipe::plain(RecipeId(1)) };
        let wide = Footing::Brim { width_mm: FOOTING_WIDTH.most };
        let f = FootingProfile::compute(&combs(), wide, &recipe).expect("sound");
        assert!(f.volume_mm3() > 0.0 && f.layers()[0].time_s().is_finite());
        let more = Footing::Brim { width_mm: FOOTING_WIDTH.most + 1.0 };
        assert!(FootingProfile::compute(&combs(), more, &recipe).is_err());
    }

    /// Where nothing touches the bed there is nothing to lay, but a raft's layers are under the part as everywhere: the plate's third
    /// layer is its first.
    #[test]
    fn a_raft_under_nothing_costs_nothing_and_lifts() {
        let recipe = Recipe { raft_layers: 2, ..Recipe::plain(RecipeId(1)) };
        let of = |footing| FootingProfile::compute(&Region::EMPTY, footing, &recipe).expect("sound");
        let raft = of(Footing::Raft { width_mm: 4.0 });
        assert_eq!((raft.lift_layers(), raft.layers().len(), raft.volume_mm3()), (2, 2, 0.0));
        assert!((raft.lift_mm(&recipe) - recipe.raft_height_mm()).abs() < 1e-12);
        assert!(raft.layers().iter().all(|l| l.is_empty() && l.time_s() == 0.0) && raft.hull().is_empty());
        let brim = of(Footing::Brim { width_mm: 4.0 });
        assert_eq!((brim.lift_layers(), brim.layers().len()), (0, 0));
    }

    /// A raft of 30 × 30 mm in six layers, two of them solid above four of 40 %: plastic of 2 + 4 · 0.4 layers (arithmetic), quicker than a
    /// solid one, and no lower. Lines at the edges make the sparse layers a little more or less than their share.
    #[test]
    fn a_sparse_base_under_solid_layers() {
        let solid = Recipe { raft_layers: 6, ..Recipe::plain(RecipeId(1)) };
        let sparse = Recipe { raft_solid_top: 2, raft_density: 0.4, ..solid.clone() };
        let of = |recipe: &Recipe| {
            FootingProfile::compute(&square(20.0), Footing::Raft { width_mm: 5.0 }, recipe).expect("sound")
        };
        let (full, open) = (of(&solid), of(&sparse));
        assert_eq!((full.lift_layers(), open.lift_layers()), (6, 6));
        assert!((full.lift_mm(&solid) - open.lift_mm(&sparse)).abs() < 1e-12);
        let layer_mm3 = full.volume_mm3() / 6.0;
        near(open.volume_mm3(), (2.0 + 4.0 * 0.4) * layer_mm3, 0.02);
        for (i, l) in open.layers().iter().enumerate() {
            let share = if i < 4 { 0.4 } else { 1.0 };
            near(l.footing.volume_mm3, share * layer_mm3, 0.05);
            near(l.volume_mm3(), l.footing.volume_mm3, 1e-12);
            near(l.bulk_area_mm2, full.layers()[i].bulk_area_mm2, 1e-12);
            assert!(l.footing.time_s > 0.0 && l.footing.slowest_s >= l.footing.time_s);
        }
        assert!(open.layers()[1].time_s() < 0.7 * full.layers()[1].time_s());
        assert_eq!(open.layers()[5], full.layers()[5]);
        // All of them solid on top, or a density of 1: the raft of old files.
        assert_eq!(of(&Recipe { raft_solid_top: 6, ..sparse.clone() }), full);
        assert_eq!(of(&Recipe { raft_density: 1.0, ..sparse.clone() }), full);
        // None solid, and nothing between: only its height is left.
        let nothing = of(&Recipe { raft_solid_top: 0, raft_density: 0.0, ..sparse });
        assert_eq!((nothing.lift_layers(), nothing.volume_mm3()), (6, 0.0));
    }

    /// A raft of many layers is laid as three are: the first, and one of each direction.
    #[test]
    fn raft_layers_of_one_direction_are_alike() {
        let recipe = Recipe { raft_layers: 1000, ..Recipe::plain(RecipeId(1)) };
        let f = FootingProfile::compute(&square(20.0), Footing::Raft { width_mm: 5.0 }, &recipe).expect("sound");
        assert_eq!((f.layers().len(), f.lift_layers()), (1000, 1000));
        assert_eq!((f.layers()[999], f.layers()[998]), (f.layers()[1], f.layers()[2]));
    }
}
