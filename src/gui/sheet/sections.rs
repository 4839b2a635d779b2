//! Sections of the parts at the height cursor.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use crate::{
    document::{Copy, CopyId, Job, Mend, MeshId, PartId, Plate, Recipe},
    estimate::{layer_span, lift_layers},
    geom::Region,
    mesh::{self, TriMesh},
    session::Session,
};

/// What a posed mesh depends on.
type PoseKey = (MeshId, Option<u32>, Vec<Mend>, [u64; 9]);
/// Copies of one part, raised by as many layers: they share a section.
type Raised = (PartId, usize);

/// A mesh in its pose, and how high it is, mm.
struct Posed {
    mesh: TriMesh,
    height_mm: f64,
}

/// Sections of all copies of a plate at the height cursor, kept until it moves.
#[derive(Default)]
pub(super) struct Sections {
    height_mm: Option<f64>,
    /// Meshes in their poses, kept while the cursor is out.
    posed: BTreeMap<PoseKey, Posed>,
    raised: BTreeMap<CopyId, Raised>,
    cut: BTreeMap<Raised, (PoseKey, u64, Region)>,
    supports: BTreeMap<Raised, Arc<Region>>,
    unchanged: bool,
}

impl Sections {
    /// Cuts what is on the plate at the height cursor.
    pub(super) fn update(&mut self, session: &Session, job: &Job, plate: &Plate) {
        self.unchanged = self.height_mm == session.height_mm();
        self.height_mm = session.height_mm();
        let Some(z) = self.height_mm else {
            self.unchanged &= self.cut.is_empty() && self.supports.is_empty();
            self.posed.clear();
            self.raised.clear();
            self.cut.clear();
            self.supports.clear();
            return;
        };
        let recipe = job.recipe(plate.recipe);
        let raised: BTreeMap<CopyId, Raised> =
            plate.copies.iter().map(|c| (c.id, (c.part, lift(job, c, recipe)))).collect();
        self.unchanged &= self.raised == raised;
        self.raised = raised;
        let wanted: BTreeSet<Raised> = self.raised.values().copied().collect();
        self.cut.retain(|key, _| wanted.contains(key));
        self.update_supports(session, &wanted, recipe, z);
        for key in wanted {
            let Some(part) = job.part(key.0) else { continue };
            let Some(mesh) = session.solid(part) else { continue };
            let unit_mm = job.mesh(&part.mesh).map_or(1.0, |m| m.unit.mm());
            let linear = part.pose.linear(unit_mm);
            let bits: Vec<u64> = linear.iter().flatten().map(|v| v.to_bits()).collect();
            let pose: PoseKey = (part.mesh.clone(), part.body, part.mends.clone(), std::array::from_fn(|i| bits[i]));
            let posed = self.posed.entry(pose.clone()).or_insert_with(|| {
                let mesh = mesh.posed(&linear).0;
                let height_mm = mesh.bounds().map_or(0.0, |b| b[1][2]);
                Posed { mesh, height_mm }
            });
            let at = cut_mm(recipe, key.1, posed.height_mm, z);
            // No height at all (under the part is its raft) has bits of its own.
            let bits = at.unwrap_or(f64::NAN).to_bits();
            if self.cut.get(&key).is_some_and(|(p, h, _)| *p == pose && *h == bits) {
                continue;
            }
            self.unchanged = false;
            let section = at.map_or(Region::EMPTY, |at| mesh::section(&posed.mesh, at));
            self.cut.insert(key, (pose, bits, section));
        }
    }
    /// Takes the supports of the layer that reaches a height of the plate.
    fn update_supports(&mut self, session: &Session, wanted: &BTreeSet<Raised>, recipe: Option<&Recipe>, z_mm: f64) {
        let found: BTreeMap<Raised, Arc<Region>> = wanted
            .iter()
            .filter_map(|&(part, lift)| {
                let (recipe, columns) = (recipe?, session.supports(part)?);
                Some(((part, lift), columns.get(layer_at(recipe, z_mm).checked_sub(lift)?)?.clone()))
            })
            .collect();
        let alike = |a: (&Raised, &Arc<Region>), b: (&Raised, &Arc<Region>)| a.0 == b.0 && Arc::ptr_eq(a.1, b.1);
        self.unchanged &=
            self.supports.len() == found.len() && self.supports.iter().zip(&found).all(|(a, b)| alike(a, b));
        self.supports = found;
    }
    /// The supports of a copy at the cursor, in its part's coordinates.
    pub(super) fn support_of(&self, copy: CopyId) -> Option<&Arc<Region>> {
        self.height_mm?;
        self.supports.get(self.raised.get(&copy)?)
    }
    /// The section of a copy in its part's coordinates; none while the cursor is put away.
    pub(super) fn of(&self, copy: CopyId) -> Option<&Region> {
        self.height_mm?;
        self.cut.get(self.raised.get(&copy)?).map(|(_, _, region)| region)
    }
    /// Are they the ones of the frame before?
    pub(super) fn unchanged(&self) -> bool {
        self.unchanged
    }
}

/// How many layers a copy is raised by: its own footing counts where it has one.
fn lift(job: &Job, copy: &Copy, recipe: Option<&Recipe>) -> usize {
    recipe.map_or(0, |r| lift_layers(job.footing(copy), r))
}

/// The plate's layer that reaches a height: the lowest whose top side is not under it.
fn layer_at(recipe: &Recipe, z_mm: f64) -> usize {
    // A millionth of a layer forgives rounding.
    ((z_mm - recipe.first_layer_mm) / recipe.layer_height_mm - 1e-6).ceil().max(0.0) as usize
}

/// Where a part raised by `lift` layers is cut for the plate's layer at `z_mm`, above its own underside: at the middle of its layer, as
/// the estimate cuts it. `None` under the part; at the very height where there is no recipe.
fn cut_mm(recipe: Option<&Recipe>, lift: usize, height_mm: f64, z_mm: f64) -> Option<f64> {
    let Some(recipe) = recipe else { return Some(z_mm) };
    let layer = layer_at(recipe, z_mm).checked_sub(lift)?;
    let middle = layer_span(recipe, layer).middle_mm;
    // A part lower than one layer is cut in its own middle.
    Some(if layer == 0 { middle.min(height_mm / 2.0) } else { middle })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{FileUnit, Footing, MeshRef, Part, Pose, RecipeId, Shop, Turns, letter};

    fn near(value: Option<f64>, wanted: f64) {
        assert!(value.is_some_and(|v| (v - wanted).abs() < 1e-9), "{value:?} is not {wanted}");
    }

    /// First layer 0.3, others 0.2: middles at 0.15, 0.4, 0.6 … of the part (by hand).
    #[test]
    fn layers_are_cut_at_their_middles() {
        let recipe = Recipe { first_layer_mm: 0.3, layer_height_mm: 0.2, ..Recipe::plain(RecipeId(1)) };
        for (z, cut) in [(0.0, 0.15), (0.1, 0.15), (0.3, 0.15), (0.31, 0.4), (0.5, 0.4), (0.7, 0.6)] {
            near(cut_mm(Some(&recipe), 0, 10.0, z), cut);
        }
        // Lower than a layer.
        near(cut_mm(Some(&recipe), 0, 0.1, 0.3), 0.05);
        near(cut_mm(None, 0, 10.0, 0.3), 0.3);
    }

    /// On a raft of two layers (up to 0.5) the part's first layer is the plate's third.
    #[test]
    fn a_raft_lifts_by_its_layers() {
        let recipe = Recipe { first_layer_mm: 0.3, layer_height_mm: 0.2, ..Recipe::plain(RecipeId(1)) };
        assert_eq!((cut_mm(Some(&recipe), 2, 10.0, 0.2), cut_mm(Some(&recipe), 2, 10.0, 0.5)), (None, None));
        near(cut_mm(Some(&recipe), 2, 10.0, 0.7), 0.15);
        near(cut_mm(Some(&recipe), 2, 10.0, 0.9), 0.4);
    }

    /// One copy on a raft of its own, one on its part's bare footing.
    #[test]
    fn a_copys_own_footing_counts() {
        let mut job = Job::with_shop("two footings", &Shop::starter());
        let mesh = MeshId::new(&"0".repeat(64), 0);
        job.meshes.push(MeshRef {
            id: mesh.clone(),
            file: "spacer.stl".into(),
            object: "spacer".into(),
            body: None,
            unit: FileUnit::Millimeter,
        });
        job.parts.push(Part {
            id: PartId(900),
            letter: letter(0),
            name: "spacer".into(),
            mesh,
            body: None,
            pose: Pose::default(),
            wanted: 2,
            due: None,
            material: job.materials[0].id,
            colour: "white".into(),
            recipe: job.recipes[0].id,
            footing: Footing::Bare,
            turns: Turns::Eighths,
            together: false,
            other_hand: None,
            mends: Vec::new(),
            clean_up: crate::document::CleanUp::default(),
            next_number: 3,
        });
        let plain = Copy {
            id: CopyId(901),
            part: PartId(900),
            number: 1,
            x_mm: 50.0,
            y_mm: 50.0,
            turn_deg: 0.0,
            locked: false,
            footing: None,
        };
        let raised = Copy { id: CopyId(902), footing: Some(Footing::Raft { width_mm: 3.0 }), ..plain.clone() };
        let recipe = Recipe { raft_layers: 4, ..Recipe::plain(RecipeId(1)) };
        assert_eq!((lift(&job, &plain, Some(&recipe)), lift(&job, &raised, Some(&recipe))), (0, 4));
        // And the other way round.
        job.parts[0].footing = Footing::Raft { width_mm: 3.0 };
        let bare = Copy { footing: Some(Footing::Bare), ..plain.clone() };
        assert_eq!((lift(&job, &plain, Some(&recipe)), lift(&job, &bare, Some(&recipe))), (4, 0));
    }
}
