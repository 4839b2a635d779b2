//! The document.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{
    Assumptions, Copy, CopyId, Footing, Machine, MachineId, Margins, Material, MaterialId, MeshId, MeshRef, Part,
    PartId, Plate, PlateId, Preferences, Readiness, Recipe, RecipeId, Shifts, Spool, SpoolId, Tally, Twin,
};

/// The document: everything a person owns and saves.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Job {
    /// "Hive fittings".
    pub title: String,
    /// Machines, a copy of the shop's.
    pub machines: Vec<Machine>,
    /// Materials, a copy of the shop's.
    pub materials: Vec<Material>,
    /// Recipes, a copy of the shop's.
    pub recipes: Vec<Recipe>,
    /// Spools, a copy of the shop's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spools: Vec<Spool>,
    /// Meshes that parts refer to.
    pub meshes: Vec<MeshRef>,
    /// The order.
    pub parts: Vec<Part>,
    /// The plates.
    pub plates: Vec<Plate>,
    /// Clearances.
    pub margins: Margins,
    /// What is preferred among equally good layouts.
    #[serde(default, skip_serializing_if = "Preferences::is_none")]
    pub preferences: Preferences,
    /// What is assumed about falling over.
    #[serde(default, skip_serializing_if = "Assumptions::is_default")]
    pub assumptions: Assumptions,
    /// When somebody is there, how long a changeover takes, and when the work starts.
    #[serde(default, skip_serializing_if = "Shifts::is_default")]
    pub shifts: Shifts,
    /// What came out of each plate.
    #[serde(default, skip_serializing_if = "Tally::is_empty")]
    pub tally: Tally,
    /// What was seen to before plates start.
    #[serde(default, skip_serializing_if = "Readiness::is_default")]
    pub readiness: Readiness,
    /// What money is counted in: a code (ISO 4217) or a sign; empty where none is named.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub currency: String,
    /// The next unused id, shared by all kinds.
    pub next_id: u32,
    /// How many parts were ever added: gives letters.
    pub letters_given: u32,
}

impl Job {
    /// The part with this id.
    pub fn part(&self, id: PartId) -> Option<&Part> {
        self.parts.iter().find(|p| p.id == id)
    }
    /// The plate with this id.
    pub fn plate(&self, id: PlateId) -> Option<&Plate> {
        self.plates.iter().find(|p| p.id == id)
    }
    /// The machine with this id.
    pub fn machine(&self, id: MachineId) -> Option<&Machine> {
        self.machines.iter().find(|m| m.id == id)
    }
    /// The material with this id.
    pub fn material(&self, id: MaterialId) -> Option<&Material> {
        self.materials.iter().find(|m| m.id == id)
    }
    /// The recipe with this id.
    pub fn recipe(&self, id: RecipeId) -> Option<&Recipe> {
        self.recipes.iter().find(|r| r.id == id)
    }
    /// The spool with this id.
    pub fn spool(&self, id: SpoolId) -> Option<&Spool> {
        self.spools.iter().find(|s| s.id == id)
    }
    /// The mesh reference with this id.
    pub fn mesh(&self, id: &MeshId) -> Option<&MeshRef> {
        self.meshes.iter().find(|m| &m.id == id)
    }
    /// A copy and the plate it lies on.
    pub fn copy(&self, id: CopyId) -> Option<(&Plate, &Copy)> {
        self.plates.iter().find_map(|p| p.copies.iter().find(|c| c.id == id).map(|c| (p, c)))
    }
    /// The number of a plate, from 1.
    pub fn plate_number(&self, id: PlateId) -> Option<usize> {
        self.plates.iter().position(|p| p.id == id).map(|i| i + 1)
    }
    /// "E 14".
    pub fn copy_name(&self, copy: &Copy) -> String {
        let letter = self.part(copy.part).map_or("?", |p| p.letter.as_str());
        format!("{letter} {}", copy.number)
    }
    /// The footing that holds for a copy.
    pub fn footing(&self, copy: &Copy) -> Footing {
        copy.footing.or_else(|| self.part(copy.part).map(|p| p.footing)).unwrap_or_default()
    }
    /// How a plate is printed twice at once: as it says, where its machine has two carriages.
    pub fn twin(&self, plate: &Plate) -> Option<Twin> {
        self.machine(plate.machine)?.carriages?;
        plate.twin
    }
    /// Of which part the twin of a part's copy is: a mirrored one is of the other hand, where there is one, or of the part
    /// itself where that is its own mirror image (`is_own_mirror`); else of none that was ordered.
    pub fn twin_part(&self, twin: Twin, part: &Part, is_own_mirror: bool) -> Option<PartId> {
        match twin {
            Twin::Shifted => Some(part.id),
            Twin::Handed => {
                let other = part.other_hand.filter(|id| self.part(*id).is_some());
                other.or(is_own_mirror.then_some(part.id))
            }
        }
    }
    /// Of which part the twin of a copy on a plate is; `None` without a twin, or where it is of none that was ordered.
    pub fn part_of_twin(&self, plate: &Plate, copy: &Copy, is_own_mirror: impl Fn(PartId) -> bool) -> Option<PartId> {
        let (twin, part) = (self.twin(plate)?, self.part(copy.part)?);
        self.twin_part(twin, part, is_own_mirror(part.id))
    }
    /// What lies on a plate, by part: its copies, and their twins where it is printed twice at once. `is_own_mirror` says which parts are their own
    /// mirror image.
    pub fn lies_on(&self, plate: &Plate, is_own_mirror: impl Fn(PartId) -> bool) -> BTreeMap<PartId, usize> {
        let mut lies = BTreeMap::new();
        for copy in &plate.copies {
            let twin = self.part_of_twin(plate, copy, &is_own_mirror);
            for part in [Some(copy.part), twin].into_iter().flatten() {
                *lies.entry(part).or_default() += 1;
            }
        }
        lies
    }
    /// What comes off a plate, by part: what was good where it is tallied, nothing where it failed, else all that lies on it.
    pub fn made_on(&self, plate: &Plate, is_own_mirror: impl Fn(PartId) -> bool) -> BTreeMap<PartId, usize> {
        match self.tally.good_of(plate.id) {
            Some(good) => good.clone(),
            None if plate.run.failed => BTreeMap::new(),
            None => self.lies_on(plate, is_own_mirror),
        }
    }
    /// How many of a part all plates make: [`Self::made_on`] of each, and what came good off plates that are gone. This is what is compared with the
    /// order.
    pub fn made(&self, part: PartId, is_own_mirror: impl Fn(PartId) -> bool) -> usize {
        let on = |p: &Plate| {
            // What was on a failed plate is wanted again; what was tallied is counted below.
            if p.run.failed || self.tally.has(p.id) {
                return 0;
            }
            if p.twin.is_none() {
                return p.copies.iter().filter(|c| c.part == part).count();
            }
            let twin = |c: &Copy| self.part_of_twin(p, c, &is_own_mirror);
            p.copies.iter().map(|c| usize::from(c.part == part) + usize::from(twin(c) == Some(part))).sum()
        };
        self.plates.iter().map(on).sum::<usize>() + self.tally.good(part)
    }
    /// How many copies of a part lie on plates, twins not counted: see [`Self::made`].
    pub fn placed(&self, part: PartId) -> usize {
        self.plates.iter().flat_map(|p| &p.copies).filter(|c| c.part == part).count()
    }
    /// Hand work to take a footing off one copy of a part, s: the part's own, else the job's.
    pub fn clean_up_s(&self, part: &Part, footing: Footing) -> f64 {
        let own = match footing {
            Footing::Bare => None,
            Footing::Brim { .. } => part.clean_up.brim_s,
            Footing::Raft { .. } => part.clean_up.raft_s,
        };
        own.unwrap_or_else(|| self.assumptions.clean_up_s(footing))
    }
    /// The edge margin that holds on a machine, mm.
    pub fn edge_mm(&self, machine: &Machine) -> f64 {
        self.margins.edge_mm.max(machine.edge_mm)
    }
    /// True when the part's material, colour and recipe are the plate's.
    pub fn belongs(&self, part: &Part, plate: &Plate) -> bool {
        part.material == plate.material && part.colour == plate.colour && part.recipe == plate.recipe
    }
}
