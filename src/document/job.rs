//! The document.

use serde::{Deserialize, Serialize};

use super::{
    Assumptions, Copy, CopyId, Footing, Machine, MachineId, Margins, Material, MaterialId, MeshId, MeshRef, Part,
    PartId, Plate, PlateId, Preferences, Recipe, RecipeId, Shifts, Spool, SpoolId,
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
    /// How many copies of a part lie on plates.
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
