//! All that a person can ask for.

use std::path::PathBuf;

use crate::{
    document::{
        Assumptions, CopyId, FileUnit, Footing, Machine, MachineId, Margins, Material, MaterialId, Mend, OutcomeId,
        Part, PartId, PlateId, Preferences, PullTest, Readiness, ReadyItem, Recipe, RecipeId, Shifts, Spool, SpoolId,
        Twin,
    },
    drawing::run_sheet::PrintPaper,
    edit::{PlateSetup, Put},
    finding::Remedy,
    geom::{Bounds, Point},
    session::{Ask, EndBy, Landing, Offer, RunMark, Scope, Side, StudyWish, TallyEntry, TimelineFile, TopUp},
};

/// All that a person can ask for. Windows, menus, keys and tests send these; nothing else changes a session.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// A new job with the shop's machines, materials and recipes.
    New,
    /// A dialog first.
    Ask(Ask),
    /// Opens a job.
    Open(PathBuf),
    /// Saves to where it came from; asks where there is no such place.
    Save,
    /// Saves elsewhere; the name was chosen knowingly, and another file of that name is replaced.
    SaveAs(PathBuf),
    /// Saves elsewhere; asks before another file of that name is replaced.
    SaveNew(PathBuf),
    /// Saves over the file that [`Ask::Replace`] was about.
    Overwrite,
    /// Saves beside it, under a name that is free.
    SaveCopy,
    /// Writes the hand-over files of all plates into a folder; asks first where a plate has a *stop* or a missing mesh.
    Export(PathBuf),
    /// The same of one plate.
    ExportPlate(PlateId, PathBuf),
    /// Writes the run sheet of a plate as PDF.
    PrintRunSheet(PlateId, PathBuf),
    /// What run sheets are printed on.
    PrintOn(PrintPaper),
    /// Writes them all the same, once that was asked.
    ExportAnyway,
    /// Both halves of plates that are printed twice at once go into 3MF and STL (true), or one.
    BothHalves(bool),
    /// Ends writing them; the folder stays as it was.
    CancelExport,
    /// Adds meshes as parts.
    AddFiles(Vec<PathBuf>),
    /// Recovers a job that was left unsaved.
    Recover(PathBuf),
    /// Discards that job.
    Forget(PathBuf),
    /// Closes the window, after asking where something is unsaved.
    Quit,

    /// One step back.
    Undo,
    /// One step forward again.
    Redo,
    /// Selects all copies on this plate.
    SelectAll,
    /// Selects nothing.
    SelectNone,
    /// Selects copies, or adds them to what is selected, or takes them out of it.
    Select {
        /// Which.
        copies: Vec<CopyId>,
        /// Keep what is selected, and toggle these.
        additive: bool,
    },
    /// Selects all copies of a part on this plate, and shows its particulars.
    SelectPart(PartId),
    /// Removes what is selected.
    Delete,
    /// The same again, beside itself.
    Duplicate,
    /// Copies of what is selected in rows and columns, counted with it.
    Grid {
        /// Along x.
        columns: u32,
        /// Along y.
        rows: u32,
        /// Pitch along x; `None`: as close as the margins allow.
        pitch_x_mm: Option<f64>,
        /// Pitch along y; `None`: as close as the margins allow.
        pitch_y_mm: Option<f64>,
    },
    /// Lines up what is selected.
    Align(Side),
    /// Turns each selected copy about its own origin, degrees.
    Turn(f64),
    /// Moves what is selected, mm.
    Nudge(f64, f64),
    /// Puts copies exactly (typed values).
    Put(Vec<Put>),
    /// Locks (true) or unlocks what is selected.
    Lock(bool),
    /// Gives what is selected a footing of its own, or the part's again.
    Footing(Option<Footing>),
    /// Moves what is selected to another plate, or to a new one.
    ToPlate(Option<PlateId>),

    /// A drag begins: what is selected follows until [`Self::DropIt`] or [`Self::LetGo`].
    Grab {
        /// "Move" or "Turn".
        label: &'static str,
    },
    /// The drag's state: move by this much, then turn about a point. Counted from where the drag began.
    Drag {
        /// Move, mm.
        by: Point,
        /// Turn, degrees, about the middle of what is selected.
        turn_deg: f64,
    },
    /// The drag ends and counts.
    DropIt(Landing),
    /// The drag ends and did not happen.
    LetGo,

    /// Replaces a part's particulars.
    SetPart(Box<Part>),
    /// All copies of a part stand on its footing again.
    FootingAsPart(PartId),
    /// Removes a part and its copies.
    RemovePart(PartId),
    /// Lays a face of the part's hull on the bed: the n-th, largest first.
    LayOn(PartId, usize),
    /// Works out the ways to lay a part down, best first.
    RankPoses(PartId),
    /// Turns a part so that a direction in its present pose points down.
    LayDown(PartId, [f64; 3]),
    /// Turns the part about X and Y, degrees.
    TurnPart(PartId, f64, f64),
    /// Turns the part about Z, degrees: all its copies turn in their places.
    TurnPartAboutZ(PartId, f64),
    /// Orders a part and its mirror image: left and right as a pair.
    OrderHands(PartId),
    /// A file of several bodies becomes a part for each.
    SplitBodies(PartId),
    /// Puts our copy of a part's mesh right; its file stays as it is.
    Mend(PartId, Mend),
    /// Takes the n-th mend of a part away, counted from 0.
    UndoMend(PartId, usize),
    /// A revised mesh in place of a part's.
    ReplaceMesh(PartId, PathBuf),
    /// A lost mesh is here.
    LocateMesh(PartId, PathBuf),
    /// Looks whether the mesh files are still there, and tells where one is gone.
    LookForMeshes,
    /// The unit of a part's mesh file.
    SetUnit(PartId, FileUnit),
    /// One more copy of a part on this plate, where it fits.
    PlaceOne(PartId),
    /// One more copy of a part on this plate, here.
    PlaceAt(PartId, Point),

    /// Shows a plate.
    ShowPlate(PlateId),
    /// A new plate like this one.
    NewPlate,
    /// The same plate again, copies and all.
    DuplicatePlate(PlateId),
    /// Small moves until no copy of this plate is in conflict.
    MoveAllApart,
    /// A new keep-out on a machine's bed: its corners, mm.
    AddKeepOut(MachineId, Vec<Point>),
    /// Moves a machine's n-th keep-out, counted from 0, by so much, mm.
    MoveKeepOut(MachineId, usize, Point),
    /// Removes a machine's n-th keep-out, counted from 0.
    RemoveKeepOut(MachineId, usize),
    /// Removes a plate and its copies.
    RemovePlate(PlateId),
    /// Another machine, material, colour or recipe.
    SetPlate(PlateId, PlateSetup),
    /// Prints a plate twice at once by two carriages, or once.
    SetTwin(PlateId, Option<Twin>),
    /// Another place in the docket, from 0.
    OrderPlate(PlateId, usize),

    /// Arranges what is there tighter.
    Pack(Scope),
    /// Adds as many more copies as fit.
    TopUp(TopUp),
    /// Top up within an area of the bed, mm: with the part whose particulars are shown, else in the order's proportion.
    TopUpArea(Bounds),
    /// Top up leaves copies where they lie (true), or may move those that are not locked.
    KeepLying(bool),
    /// Top up adds, and Pack keeps, as many copies as end by a time; `None`: as many as fit.
    EndBy(Option<EndBy>),
    /// Deals the whole order out over plates, machines and days.
    Deal,
    /// Ends arranging or dealing out and takes the best so far.
    Take,
    /// Ends arranging or dealing out; everything stays as it was.
    Cancel,

    /// The job's title.
    SetTitle(String),
    /// What money is counted in: a code or a sign.
    SetCurrency(String),
    /// Clearances.
    SetMargins(Margins),
    /// Changes what is preferred among equally good layouts.
    SetPreferences(Preferences),
    /// What is assumed about falling over.
    SetAssumptions(Assumptions),
    /// Gives all copies of a plate that could tip over, and do not stand on what is suggested, the footing suggested; where they are all
    /// that follow their part, the part gets it.
    SuggestedFootings(PlateId),
    /// Keeps a pull test, and takes the adhesion that it shows.
    RecordPullTest {
        /// Material of the column.
        material: MaterialId,
        /// The bed's surface; empty for every surface without a value of its own.
        surface: String,
        /// The test.
        test: PullTest,
    },
    /// Adds a machine.
    AddMachine(Box<Machine>),
    /// Changes a machine.
    SetMachine(Box<Machine>),
    /// Removes a machine.
    RemoveMachine(MachineId),
    /// Adds a material.
    AddMaterial(Box<Material>),
    /// Changes a material.
    SetMaterial(Box<Material>),
    /// Removes a material.
    RemoveMaterial(MaterialId),
    /// Adds a recipe.
    AddRecipe(Box<Recipe>),
    /// Changes a recipe.
    SetRecipe(Box<Recipe>),
    /// Removes a recipe.
    RemoveRecipe(RecipeId),
    /// Adds a spool.
    AddSpool(Box<Spool>),
    /// Changes a spool.
    SetSpool(Box<Spool>),
    /// Removes a spool.
    RemoveSpool(SpoolId),
    /// Makes a plate from a spool, or from none in particular.
    ChooseSpool(PlateId, Option<SpoolId>),
    /// Gives a plate's second carriage a spool, or none in particular.
    ChooseTwinSpool(PlateId, Option<SpoolId>),
    /// This job's machines, materials, recipes and spools become the shop's.
    KeepAsShop,
    /// Takes machines, materials, recipes and spools of the same names from the shop file again.
    RefreshFromShop,

    /// Hours, changeovers, and the start of the plan.
    SetShifts(Box<Shifts>),
    /// The example hours are this shop's.
    UseHours,
    /// Looks for a better sequence of the plates, among machines of the same kind.
    ImproveSequence,
    /// Ends that search; everything stays as it was.
    CancelImprove,
    /// Saves the plan as a file; the name was chosen knowingly, and another file of that name is replaced.
    SaveTimeline(TimelineFile, PathBuf),
    /// Saves the plan as a file; asks before another file of that name is replaced.
    SaveNewTimeline(TimelineFile, PathBuf),
    /// What is said of a plate in the shop: started, ended, failed, fixed, not before a time.
    MarkRun(PlateId, RunMark),
    /// Moves a plate to a machine, before another plate of its sequence or to its end.
    MoveRun {
        /// The plate.
        plate: PlateId,
        /// Its machine from now on.
        machine: MachineId,
        /// The plate that follows it there; `None`: it is the last.
        before: Option<PlateId>,
    },

    /// Writes down what came out of a plate.
    Tally(Box<TallyEntry>),
    /// Takes an outcome out of the tally.
    RemoveOutcome(OutcomeId),
    /// Reads outcomes from a table: all of them, or none.
    ReadTally(PathBuf),
    /// Writes the tally as a table.
    WriteTally(PathBuf),
    /// Takes over what the tally teaches.
    UseLearned(Offer),
    /// An item of a plate's checklist was seen to, by somebody with these initials.
    Tick(PlateId, ReadyItem, String),
    /// It was not, after all.
    Untick(PlateId, ReadyItem),
    /// A machine's nozzle was changed: it has to be tuned again.
    NozzleChanged(MachineId),
    /// How often items of the checklist are due, and the job's own items.
    SetReadiness(Box<Readiness>),

    /// Measures a machine-code file and compares it with the plate shown.
    Gauge(PathBuf),
    /// The recipe gets the time factor with which the estimate agrees with what was measured.
    TakeFactor,
    /// A plate's recipe gets this time factor.
    SetFactor(PlateId, f64),
    /// Measures all machine-code files of a folder and lists them by their time, the shortest first.
    GaugeFolder(PathBuf),
    /// Compares another file of that list with the plate: the n-th, counted from 0.
    ShowGauged(usize),
    /// Closes the measurement, or ends it; what of a folder is listed so far stays.
    EndGauge,

    /// Begins a study: footings of a part, a plate beside itself, or how many copies at once.
    Study(StudyWish),
    /// Ends the study that runs; its rows so far stay.
    CancelStudy,
    /// Gives a part a footing, and all its copies with it.
    UseFooting(PartId, Footing),
    /// Lays the n-th row of the footing study out on a new plate, counted from 0.
    LayOutStudied(usize),
    /// Lays the n-th row of the study of how many copies out on a new plate, counted from 0.
    LayOutCopies(usize),
    /// Has the plate that was compared stand as in the n-th row, counted from 0.
    UsePlateRow(usize),

    /// The height cursor, mm; `None` hides it.
    ShowHeight(Option<f64>),
    /// What a finding offers.
    Remedy(Remedy),
}
