//! What is to change.

use serde::{Deserialize, Serialize};

use crate::document::{
    Assumptions, Copy, CopyId, Footing, Machine, MachineId, Margins, Material, MaterialId, Mend, MeshId, MeshRef,
    OutcomeId, Part, PartId, Plate, PlateId, PlateOutcome, Pose, Preferences, PullTest, Readiness, Recipe, RecipeId,
    RunState, Shifts, Spool, SpoolId, Turns, Twin,
};

/// A part to be added. Its letter and id are given by the job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NewPart {
    /// Its mesh; added to the job's meshes where it is new.
    pub mesh: MeshRef,
    /// Its name.
    pub name: String,
    /// How many good ones are wanted.
    pub wanted: u32,
    /// Which way up.
    pub pose: Pose,
    /// What holds it down.
    pub footing: Footing,
    /// Allowed turns.
    pub turns: Turns,
    /// Its material; `None` takes the job's first.
    pub material: Option<MaterialId>,
    /// Its colour.
    pub colour: String,
    /// Its recipe; `None` takes the job's first.
    pub recipe: Option<RecipeId>,
}

/// What one plate is made with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlateSetup {
    /// Its machine.
    pub machine: MachineId,
    /// Its material.
    pub material: MaterialId,
    /// Its colour.
    pub colour: String,
    /// Its recipe.
    pub recipe: RecipeId,
    /// How two carriages print it twice at once; `None` for once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub twin: Option<Twin>,
}

impl PlateSetup {
    /// What a plate is made with now.
    pub fn of(plate: &Plate) -> Self {
        let Plate { machine, material, recipe, twin, .. } = *plate;
        Self { machine, material, colour: plate.colour.clone(), recipe, twin }
    }
    /// What goes with a part, on a machine; printed once.
    pub fn for_part(part: &Part, machine: MachineId) -> Self {
        Self { machine, material: part.material, colour: part.colour.clone(), recipe: part.recipe, twin: None }
    }
}

/// A plate that is there, or one to be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlateTarget {
    /// It is there.
    Existing(PlateId),
    /// The n-th plate made by this command (from 0), with this setup.
    New(usize, PlateSetup),
}

/// A copy to be put somewhere: one that is there, or a new one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Put {
    /// The copy; `None` makes a new one.
    pub copy: Option<CopyId>,
    /// Its part.
    pub part: PartId,
    /// On which plate.
    pub plate: PlateTarget,
    /// Where its origin lands.
    pub x_mm: f64,
    /// Where its origin lands.
    pub y_mm: f64,
    /// Turn about Z in degrees.
    pub turn_deg: f64,
}

impl Put {
    /// A copy where it lies now, on a plate that is there.
    pub fn as_it_lies(c: &Copy, plate: PlateId) -> Self {
        let plate = PlateTarget::Existing(plate);
        Self { copy: Some(c.id), part: c.part, plate, x_mm: c.x_mm, y_mm: c.y_mm, turn_deg: c.turn_deg }
    }
}

/// A change to the job: flat, complete, and replayable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case")]
pub enum Command {
    /// The job's title.
    SetTitle {
        /// Title.
        title: String,
    },
    /// What money is counted in.
    SetCurrency {
        /// A code or a sign; empty for none.
        currency: String,
    },
    /// Clearances.
    SetMargins {
        /// All of them.
        margins: Margins,
    },
    /// What is preferred among equally good layouts.
    SetPreferences {
        /// All of it.
        preferences: Preferences,
    },
    /// What is assumed about falling over.
    SetAssumptions {
        /// All of it.
        assumptions: Assumptions,
    },
    /// When somebody is there, changeovers, and when the work starts.
    SetShifts {
        /// All of it.
        shifts: Box<Shifts>,
    },
    /// Keeps a pull test, and takes the adhesion it shows for this material on this surface.
    RecordPullTest {
        /// The material of the column.
        material: MaterialId,
        /// The bed surface, as machines name it; empty for every surface without a value of its own.
        surface: String,
        /// The test.
        test: PullTest,
    },
    /// Adds a machine (its id is given by the job).
    AddMachine {
        /// The machine.
        machine: Machine,
    },
    /// Replaces the machine of the same id.
    SetMachine {
        /// The machine.
        machine: Machine,
    },
    /// Removes a machine that no plate uses.
    RemoveMachine {
        /// Which.
        id: MachineId,
    },
    /// Adds a material.
    AddMaterial {
        /// The material.
        material: Material,
    },
    /// Replaces the material of the same id.
    SetMaterial {
        /// The material.
        material: Material,
    },
    /// Removes a material that nothing uses.
    RemoveMaterial {
        /// Which.
        id: MaterialId,
    },
    /// Adds a recipe.
    AddRecipe {
        /// The recipe.
        recipe: Recipe,
    },
    /// Replaces the recipe of the same id.
    SetRecipe {
        /// The recipe.
        recipe: Recipe,
    },
    /// Removes a recipe that nothing uses.
    RemoveRecipe {
        /// Which.
        id: RecipeId,
    },
    /// Adds a spool.
    AddSpool {
        /// The spool.
        spool: Spool,
    },
    /// Replaces the spool of the same id.
    SetSpool {
        /// The spool.
        spool: Spool,
    },
    /// Removes a spool that no plate is made from.
    RemoveSpool {
        /// Which.
        id: SpoolId,
    },
    /// Makes a plate from a spool, or from none in particular.
    ChooseSpool {
        /// The plate.
        plate: PlateId,
        /// The spool.
        spool: Option<SpoolId>,
    },
    /// Adds order lines.
    AddParts {
        /// The parts.
        parts: Vec<NewPart>,
    },
    /// Replaces the part of the same id; its letter, mesh, mends and numbering stay.
    SetPart {
        /// The part.
        part: Part,
    },
    /// Removes a part and all its copies.
    RemovePart {
        /// Which.
        id: PartId,
    },
    /// A revised mesh in place of the old one: all parts that used `old` use `new`.
    ReplaceMesh {
        /// The mesh that goes.
        old: MeshId,
        /// The mesh that comes.
        new: MeshRef,
    },
    /// Where a mesh file was found again, or the unit of its coordinates.
    SetMeshRef {
        /// Same id, other path or unit.
        mesh: MeshRef,
    },
    /// What is put right in our copies of these parts' meshes, in this order.
    SetMends {
        /// The parts.
        parts: Vec<PartId>,
        /// All mends, each once it is there.
        mends: Vec<Mend>,
    },
    /// Adds an empty plate.
    AddPlate {
        /// What it is made with.
        setup: PlateSetup,
    },
    /// Changes what a plate is made with.
    SetPlate {
        /// Which.
        id: PlateId,
        /// What it is made with.
        setup: PlateSetup,
    },
    /// Removes a plate and its copies.
    RemovePlate {
        /// Which.
        id: PlateId,
    },
    /// Moves a plate to another place in the docket.
    OrderPlate {
        /// Which.
        id: PlateId,
        /// Its new place, from 0.
        place: usize,
    },
    /// All plates in another sequence: that of the docket, in which plates of one machine run.
    OrderPlates {
        /// Every plate once.
        order: Vec<PlateId>,
    },
    /// How far a plate is in the shop.
    SetRun {
        /// The plate.
        plate: PlateId,
        /// What holds from now on.
        run: RunState,
    },
    /// The spool of a plate's second carriage.
    ChooseTwinSpool {
        /// Which plate.
        plate: PlateId,
        /// The spool; `None` for none in particular.
        spool: Option<SpoolId>,
    },
    /// How two carriages print a plate twice at once.
    SetTwin {
        /// The plate.
        plate: PlateId,
        /// `None` for once.
        twin: Option<Twin>,
    },
    /// Writes outcomes into the tally; one of the same plate and run is replaced. Plates that nobody marked as ended have ended then.
    Tally {
        /// What came out; ids are given by the job.
        outcomes: Vec<PlateOutcome>,
        /// Spools counted down by it, and what is left on them, g.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        spools: Vec<(SpoolId, f64)>,
    },
    /// Takes an outcome out of the tally.
    RemoveOutcome {
        /// Which.
        id: OutcomeId,
    },
    /// What was seen to before plates start, and how often it is due.
    SetReadiness {
        /// All of it.
        readiness: Box<Readiness>,
    },
    /// Puts copies on plates: new ones, or ones that are there. Copies of parts that do not belong on a plate are
    /// refused, unless they lie there already.
    PutCopies {
        /// Copies and places.
        puts: Vec<Put>,
        /// Copies to be removed in the same step.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        remove: Vec<CopyId>,
        /// Then removes plates that have become empty by it.
        drop_empty_plates: bool,
    },
    /// Removes copies.
    RemoveCopies {
        /// Which.
        copies: Vec<CopyId>,
    },
    /// Locks or unlocks copies.
    LockCopies {
        /// Which.
        copies: Vec<CopyId>,
        /// Locked.
        locked: bool,
    },
    /// Gives copies a footing of their own, or the part's again.
    SetFooting {
        /// Which.
        copies: Vec<CopyId>,
        /// `None`: the part's.
        footing: Option<Footing>,
    },
}

impl Command {
    /// Puts copies; none is removed, and empty plates stay.
    pub fn put(puts: Vec<Put>) -> Self {
        Self::PutCopies { puts, remove: Vec::new(), drop_empty_plates: false }
    }
}
