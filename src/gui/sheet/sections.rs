//! Sections of the parts at the height cursor.

use std::{collections::BTreeMap, sync::Arc};

use crate::{
    document::{Footing, Job, MeshId, PartId, Plate},
    geom::Region,
    mesh::{self, TriMesh},
    session::Session,
};

/// What a posed mesh depends on.
type PoseKey = (MeshId, Option<u32>, [u64; 9]);

/// Sections of all parts of a plate at the height cursor, kept until it moves.
#[derive(Default)]
pub(super) struct Sections {
    height_mm: Option<f64>,
    /// Meshes in their poses, kept while the cursor is out.
    posed: BTreeMap<PoseKey, Arc<TriMesh>>,
    cut: BTreeMap<PartId, (PoseKey, u64, Region)>,
    supports: BTreeMap<PartId, Arc<Region>>,
    unchanged: bool,
}

impl Sections {
    /// Cuts what is on the plate at the height cursor.
    pub(super) fn update(&mut self, session: &Session, job: &Job, plate: &Plate) {
        self.unchanged = self.height_mm == session.height_mm();
        self.height_mm = session.height_mm();
        let Some(z) = self.height_mm else {
            self.unchanged &= self.cut.is_empty();
            self.posed.clear();
            self.unchanged &= self.supports.is_empty();
            self.cut.clear();
            self.supports.clear();
            return;
        };
        let recipe = job.recipe(plate.recipe);
        self.update_supports(session, job, plate, z);
        for part in job.parts.iter().filter(|p| plate.copies.iter().any(|c| c.part == p.id)) {
            let Some(loaded) = session.library().loaded(&part.mesh) else { continue };
            let unit_mm = job.mesh(&part.mesh).map_or(1.0, |m| m.unit.mm());
            let linear = part.pose.linear(unit_mm);
            let bits: Vec<u64> = linear.iter().flatten().map(|v| v.to_bits()).collect();
            let key: PoseKey = (part.mesh.clone(), part.body, std::array::from_fn(|i| bits[i]));
            // A raft lifts the part by its layers.
            let lift = match (part.footing, recipe) {
                (Footing::Raft { .. }, Some(r)) => f64::from(r.raft_layers) * r.layer_height_mm,
                _ => 0.0,
            };
            // The section of a layer is taken at its middle.
            let at = z - lift - recipe.map_or(0.0, |r| r.layer_height_mm / 2.0);
            if self.cut.get(&part.id).is_some_and(|(k, h, _)| *k == key && *h == at.to_bits()) {
                continue;
            }
            self.unchanged = false;
            let posed = self
                .posed
                .entry(key.clone())
                .or_insert_with(|| Arc::new(loaded.body(part.body).posed(&linear).0))
                .clone();
            self.cut.insert(part.id, (key, at.to_bits(), mesh::section(&posed, at)));
        }
    }
    /// Takes the supports of the layer that reaches a height of the plate.
    fn update_supports(&mut self, session: &Session, job: &Job, plate: &Plate, z_mm: f64) {
        let recipe = job.recipe(plate.recipe);
        let found: BTreeMap<PartId, Arc<Region>> = job
            .parts
            .iter()
            .filter(|p| plate.copies.iter().any(|c| c.part == p.id))
            .filter_map(|part| {
                let (recipe, columns) = (recipe?, session.supports(part.id)?);
                let layer = ((z_mm - recipe.first_layer_mm) / recipe.layer_height_mm - 1e-6).ceil().max(0.0) as usize;
                let lift = match part.footing {
                    Footing::Raft { .. } => recipe.raft_layers as usize,
                    Footing::Bare | Footing::Brim { .. } => 0,
                };
                Some((part.id, columns.get(layer.checked_sub(lift)?)?.clone()))
            })
            .collect();
        let alike = |a: (&PartId, &Arc<Region>), b: (&PartId, &Arc<Region>)| a.0 == b.0 && Arc::ptr_eq(a.1, b.1);
        self.unchanged &=
            self.supports.len() == found.len() && self.supports.iter().zip(&found).all(|(a, b)| alike(a, b));
        self.supports = found;
    }
    /// The supports of a part at the cursor, in its own coordinates.
    pub(super) fn support_of(&self, part: PartId) -> Option<&Arc<Region>> {
        self.height_mm?;
        self.supports.get(&part)
    }
    /// The section of a part in its own coordinates; none while the cursor is put away.
    pub(super) fn of(&self, part: PartId) -> Option<&Region> {
        self.height_mm?;
        self.cut.get(&part).map(|(_, _, region)| region)
    }
    /// Are they the ones of the frame before?
    pub(super) fn unchanged(&self) -> bool {
        self.unchanged
    }
}
