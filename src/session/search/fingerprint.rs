//! What a search's problem depends on: where that is another when the result comes, the result is for another problem.

use std::{
    collections::hash_map::DefaultHasher,
    hash::{Hash, Hasher},
};

use serde::Serialize;

use crate::{
    document::{
        BedShape, Copy, CopyId, FileUnit, Footing, Job, Machine, MachineId, MaterialId, Mend, MeshId, Part, PartId,
        Plate, Pose, Recipe, RecipeId, Turns, Twin,
    },
    geom::Point,
    session::search::concern::Concern,
};

/// All that the problem of a search depends on. Names, numbers of copies, what is wanted, spools, preferences and all of
/// a recipe that makes no outline and takes no room are left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(in crate::session) struct Fingerprint {
    clearances: Clearances,
    machines: Vec<Option<Ground>>,
    parts: Vec<Option<Form>>,
    plates: Vec<Option<Lying>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
struct Clearances {
    gap_mm: f64,
    edge_mm: f64,
    footing_gap_mm: f64,
    footings_may_merge: bool,
    tolerance_mm: f64,
}

/// A bed.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Ground {
    bed: BedShape,
    height_mm: f64,
    edge_mm: f64,
    keep_outs: Vec<Vec<Point>>,
    /// Width of the strip between two carriages, where there are two.
    strip_mm: Option<f64>,
}

/// What makes a part's outlines, and says where it may lie.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Form {
    mesh: MeshId,
    body: Option<u32>,
    mends: Vec<Mend>,
    unit: Option<FileUnit>,
    pose: Pose,
    footing: Footing,
    turns: Turns,
    material: MaterialId,
    colour: String,
    recipe: RecipeId,
    /// Of its recipe: the first layer, at half of which the contact is cut, and what a skirt and a raft take, mm.
    layers_mm: Option<[f64; 3]>,
}

/// A plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Lying {
    machine: MachineId,
    material: MaterialId,
    colour: String,
    recipe: RecipeId,
    skirt_mm: f64,
    twin: Option<Twin>,
    copies: Vec<Place>,
}

/// A copy.
#[derive(Debug, Clone, PartialEq, Serialize)]
struct Place {
    id: CopyId,
    part: PartId,
    x_mm: f64,
    y_mm: f64,
    turn_deg: f64,
    locked: bool,
    footing: Option<Footing>,
}

impl Fingerprint {
    /// Of what a search is about, as it is in a job. What has gone counts as changed.
    pub(in crate::session) fn new(job: &Job, concern: &Concern) -> Self {
        let m = &job.margins;
        Self {
            clearances: Clearances {
                gap_mm: m.gap_mm,
                edge_mm: m.edge_mm,
                footing_gap_mm: m.footing_gap_mm,
                footings_may_merge: m.footings_may_merge,
                tolerance_mm: m.tolerance_mm,
            },
            machines: concern.machines.iter().map(|id| job.machine(*id).map(ground)).collect(),
            parts: concern.parts.iter().map(|id| job.part(*id).map(|p| form(job, p))).collect(),
            plates: concern.plates.iter().map(|id| job.plate(*id).map(|p| lying(job, p))).collect(),
        }
    }

    /// As a number, for the ticket of the search.
    pub(super) fn number(&self) -> u64 {
        let mut h = DefaultHasher::new();
        serde_json::to_string(self).unwrap_or_default().hash(&mut h);
        h.finish()
    }
}

fn ground(m: &Machine) -> Ground {
    Ground {
        bed: m.bed.clone(),
        height_mm: m.height_mm,
        edge_mm: m.edge_mm,
        keep_outs: m.keep_outs.iter().map(|k| k.outline.clone()).collect(),
        strip_mm: m.carriages.map(|c| c.strip_mm),
    }
}

fn form(job: &Job, p: &Part) -> Form {
    let layers_mm = |r: &Recipe| [r.first_layer_mm, r.skirt_mm(), r.raft_height_mm()];
    Form {
        mesh: p.mesh.clone(),
        body: p.body,
        mends: p.mends.clone(),
        unit: job.mesh(&p.mesh).map(|m| m.unit),
        pose: p.pose,
        footing: p.footing,
        turns: p.turns,
        material: p.material,
        colour: p.colour.clone(),
        recipe: p.recipe,
        layers_mm: job.recipe(p.recipe).map(layers_mm),
    }
}

fn lying(job: &Job, p: &Plate) -> Lying {
    let place = |c: &Copy| Place {
        id: c.id,
        part: c.part,
        x_mm: c.x_mm,
        y_mm: c.y_mm,
        turn_deg: c.turn_deg,
        locked: c.locked,
        footing: c.footing,
    };
    Lying {
        machine: p.machine,
        material: p.material,
        colour: p.colour.clone(),
        recipe: p.recipe,
        skirt_mm: job.recipe(p.recipe).map_or(0.0, Recipe::skirt_mm),
        twin: p.twin,
        copies: p.copies.iter().map(place).collect(),
    }
}

#[cfg(test)]
mod tests;
