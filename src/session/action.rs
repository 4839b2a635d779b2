//! All that a person can ask for.

use std::path::PathBuf;

use super::Session;
use crate::{
    document::{
        CopyId, Footing, Machine, MachineId, Margins, Material, MaterialId, Part, PartId, PlateId, Preferences, Recipe,
        RecipeId, Spool, SpoolId,
    },
    edit::{PlateSetup, Put},
    finding::Remedy,
    geom::{Bounds, Point},
};

/// Which edge or middle things are lined up by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left edges.
    Left,
    /// Right edges.
    Right,
    /// Front edges (nearest the person).
    Front,
    /// Back edges.
    Back,
    /// Middles, along x.
    MiddleAcross,
    /// Middles, along y.
    MiddleUp,
}

/// What becomes of copies let go on top of others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Landing {
    /// They lie where they are let go.
    #[default]
    There,
    /// They go to the nearest free place.
    NearestFree,
    /// The others make room.
    PushAside,
}

/// Which copies Pack may move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// This plate.
    Plate,
    /// Only what is selected, on this plate.
    Selection,
    /// All plates of the job.
    Job,
    /// Everything ordered and not yet placed, on the plates there are and on new ones.
    Order,
}

/// What Top up adds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TopUp {
    /// Copies of one part.
    Part(PartId),
    /// Every part of the plate's material, colour and recipe, in the order's proportion.
    Order,
}

/// A question that only the roof can ask (a dialog).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// Which job to open.
    Open,
    /// Where to save.
    SaveAs,
    /// Whether to replace a file: see [`Session::replacing`].
    Replace,
    /// Which meshes to add.
    AddParts,
    /// Where to export.
    Export,
    /// Whether to hand over what has faults: see [`Session::hand_over_doubt`].
    HandOverFaulty,
    /// Which file replaces a part's mesh.
    ReplaceMesh(PartId),
    /// Where a lost mesh is.
    LocateMesh(PartId),
    /// Which machine-code file to measure.
    Gauge,
    /// Which folder of such files to measure.
    GaugeFolder,
}

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
    /// Writes them all the same, once that was asked.
    ExportAnyway,
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
    /// Removes a part and its copies.
    RemovePart(PartId),
    /// Lays a face of the part's hull on the bed: the n-th, largest first.
    LayOn(PartId, usize),
    /// Turns the part about X and Y, degrees.
    TurnPart(PartId, f64, f64),
    /// A file of several bodies becomes a part for each.
    SplitBodies(PartId),
    /// A revised mesh in place of a part's.
    ReplaceMesh(PartId, PathBuf),
    /// A lost mesh is here.
    LocateMesh(PartId, PathBuf),
    /// The unit of a part's mesh file.
    SetUnit(PartId, crate::document::FileUnit),
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
    /// Ends arranging and takes the best so far.
    Take,
    /// Ends arranging; everything stays as it was.
    Cancel,

    /// The job's title.
    SetTitle(String),
    /// What money is counted in: a code or a sign.
    SetCurrency(String),
    /// Clearances.
    SetMargins(Margins),
    /// Changes what is preferred among equally good layouts.
    SetPreferences(Preferences),
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
    /// This job's machines, materials, recipes and spools become the shop's.
    KeepAsShop,
    /// Takes machines, materials, recipes and spools of the same names from the shop file again.
    RefreshFromShop,

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

    /// The height cursor, mm; `None` hides it.
    ShowHeight(Option<f64>),
    /// What a finding offers.
    Remedy(Remedy),
}

impl Action {
    /// Its name, as menus and the undo list write it.
    pub fn name(&self) -> &'static str {
        match self {
            Self::New => "New job",
            Self::Ask(Ask::Open) | Self::Open(_) => "Open job…",
            Self::Save => "Save job",
            Self::Ask(Ask::SaveAs) | Self::SaveAs(_) | Self::SaveNew(_) => "Save job as…",
            Self::Ask(Ask::Replace) | Self::Overwrite => "Overwrite",
            Self::SaveCopy => "Save as a copy",
            Self::Ask(Ask::Export) | Self::Export(_) => "Hand over…",
            Self::Ask(Ask::HandOverFaulty) | Self::ExportAnyway => "Hand over all the same",
            Self::CancelExport => "Cancel hand-over",
            Self::Ask(Ask::AddParts) | Self::AddFiles(_) => "Add part…",
            Self::Ask(Ask::ReplaceMesh(_)) | Self::ReplaceMesh(..) => "Replace mesh…",
            Self::Ask(Ask::LocateMesh(_)) | Self::LocateMesh(..) => "Find mesh…",
            Self::Recover(_) => "Recover unsaved job",
            Self::Forget(_) => "Discard unsaved job",
            Self::Quit => "Close Stonehand",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::SelectAll => "Select all on this plate",
            Self::SelectNone => "Select nothing",
            Self::Select { .. } | Self::SelectPart(_) => "Select",
            Self::Delete => "Remove copies",
            Self::Duplicate => "Duplicate copies",
            Self::Grid { .. } => "Rows and columns",
            Self::Align(Side::Left) => "Line up left edges",
            Self::Align(Side::Right) => "Line up right edges",
            Self::Align(Side::Front) => "Line up front edges",
            Self::Align(Side::Back) => "Line up back edges",
            Self::Align(Side::MiddleAcross) => "Line up middles across",
            Self::Align(Side::MiddleUp) => "Line up middles front to back",
            Self::Turn(d) if *d < 0.0 => "Turn clockwise",
            Self::Turn(_) => "Turn counter-clockwise",
            Self::Nudge(..) => "Nudge",
            Self::Put(_) => "Place copies",
            Self::Lock(true) => "Lock",
            Self::Lock(false) => "Unlock",
            Self::Footing(_) => "Footing of copies",
            Self::ToPlate(Some(_)) => "Move to plate",
            Self::ToPlate(None) => "Move to a new plate",
            Self::Grab { label } => label,
            Self::Drag { .. } => "Drag",
            Self::DropIt(_) => "Drop",
            Self::LetGo => "Let go",
            Self::SetPart(_) => "Change part",
            Self::RemovePart(_) => "Remove part",
            Self::LayOn(..) => "Lay face on the bed",
            Self::TurnPart(..) => "Turn part over",
            Self::SplitBodies(_) => "Split into bodies",
            Self::SetUnit(..) => "Unit of mesh",
            Self::PlaceOne(_) | Self::PlaceAt(..) => "Place a copy",
            Self::ShowPlate(_) => "Show plate",
            Self::NewPlate => "New plate",
            Self::DuplicatePlate(_) => "Duplicate plate",
            Self::MoveAllApart => "Move all apart",
            Self::AddKeepOut(..) => "Draw a keep-out",
            Self::MoveKeepOut(..) => "Move keep-out",
            Self::RemoveKeepOut(..) => "Remove keep-out",
            Self::RemovePlate(_) => "Remove plate",
            Self::SetPlate(..) => "Change plate",
            Self::OrderPlate(..) => "Move plate in docket",
            Self::Pack(Scope::Plate) => "Pack this plate",
            Self::Pack(Scope::Selection) => "Pack selected copies",
            Self::Pack(Scope::Job) => "Pack all plates",
            Self::Pack(Scope::Order) => "Place the whole order",
            Self::TopUp(_) => "Top up",
            Self::TopUpArea(_) => "Top up an area",
            Self::KeepLying(_) => "Keep what lies where it is",
            Self::Take => "Take best so far",
            Self::Cancel => "Cancel",
            Self::SetTitle(_) => "Title",
            Self::SetCurrency(_) => "Currency",
            Self::SetMargins(_) => "Margins",
            Self::SetPreferences(_) => "Preferences",
            Self::AddMachine(_) => "New machine",
            Self::SetMachine(_) => "Change machine",
            Self::RemoveMachine(_) => "Remove machine",
            Self::AddMaterial(_) => "New material",
            Self::SetMaterial(_) => "Change material",
            Self::RemoveMaterial(_) => "Remove material",
            Self::AddRecipe(_) => "New recipe",
            Self::SetRecipe(_) => "Change recipe",
            Self::RemoveRecipe(_) => "Remove recipe",
            Self::AddSpool(_) => "New spool",
            Self::SetSpool(_) => "Change spool",
            Self::RemoveSpool(_) => "Remove spool",
            Self::ChooseSpool(..) => "Spool of plate",
            Self::KeepAsShop => "Save to shop file",
            Self::RefreshFromShop => "Update from shop file",
            Self::Ask(Ask::Gauge) | Self::Gauge(_) => "Gauge a machine-code file…",
            Self::TakeFactor | Self::SetFactor(..) => "Set the time factor",
            Self::Ask(Ask::GaugeFolder) | Self::GaugeFolder(_) => "Gauge a folder of machine code…",
            Self::ShowGauged(_) => "Compare with the plate",
            Self::EndGauge => "Close the measurement",
            Self::ShowHeight(Some(_)) => "Height cursor",
            Self::ShowHeight(None) => "Hide the height cursor",
            Self::Remedy(_) => "Fix",
        }
    }

    /// One sentence on what it does, empty where the name says it all.
    pub fn tooltip(&self) -> &'static str {
        match self {
            Self::Ask(Ask::Export) | Self::Export(_) => {
                "Writes placements, 3MF, STL and the drawing of every plate into a folder"
            }
            Self::Ask(Ask::AddParts) => "STL, OBJ or 3MF; files can also be dropped on the window",
            Self::Duplicate => "One more of each selected copy, placed where it fits",
            Self::Grid { .. } => "Fills rows and columns with copies of what is selected",
            Self::Lock(true) => "Pack and Top up leave these copies where they are",
            Self::Lock(false) => "Pack and Top up may move these copies again",
            Self::DuplicatePlate(_) => "The same plate again, with copies of all that lies on it",
            Self::MoveAllApart => "Moves copies in conflict to the nearest free place; locked ones stay",
            Self::AddKeepOut(..) => "An area of the bed that stays free: clips, a purge area",
            Self::Pack(Scope::Plate) => "Same copies, tighter",
            Self::Pack(Scope::Job) => "Same copies on fewer plates",
            Self::Pack(Scope::Order) => {
                "Places everything ordered that is not on a plate yet, on new plates where needed"
            }
            Self::Pack(Scope::Selection) => "Moves only what is selected",
            Self::TopUp(_) => "As many more copies as fit; copies that are not locked may be moved to make room",
            Self::KeepLying(_) => "Top up adds copies and moves none",
            Self::TopUpArea(_) => "As many more copies as fit the area that you draw",
            Self::Take => "Ends the search and keeps the layout shown",
            Self::Cancel => "Ends the search; the plate stays as it was",
            Self::Ask(Ask::Gauge) => {
                "Times what your toolpath program made of this plate, and compares it with the estimate"
            }
            Self::TakeFactor => "Scales this recipe's estimates to match the measurement",
            Self::Ask(Ask::GaugeFolder) | Self::GaugeFolder(_) => {
                "Times all machine-code files of a folder and lists them, the shortest first"
            }
            Self::KeepAsShop => {
                "The shop file is what new jobs begin with. Puts this job's machines, materials, recipes and spools there"
            }
            Self::RefreshFromShop => {
                "Brings machines, materials, recipes and spools of this job up to date with the shop file"
            }
            Self::SplitBodies(_) => "One part per connected body",
            _ => "",
        }
    }

    /// Its keys, "Ctrl+Z"; empty where it has none. `Ctrl` stands for the platform's command key.
    pub fn shortcut(&self) -> &'static str {
        match self {
            Self::New => "Ctrl+N",
            Self::Ask(Ask::Open) => "Ctrl+O",
            Self::Save => "Ctrl+S",
            Self::Ask(Ask::SaveAs) => "Ctrl+Shift+S",
            Self::Ask(Ask::Export) => "Ctrl+E",
            Self::Ask(Ask::AddParts) => "Ctrl+I",
            Self::Quit => "Ctrl+Q",
            Self::Undo => "Ctrl+Z",
            Self::Redo => "Ctrl+Shift+Z",
            Self::SelectAll => "Ctrl+A",
            Self::SelectNone => "Escape",
            Self::Delete => "Delete",
            Self::Duplicate => "Ctrl+D",
            Self::Turn(d) if *d > 0.0 => "R",
            Self::Turn(_) => "Shift+R",
            Self::Lock(true) => "L",
            Self::Lock(false) => "Shift+L",
            Self::NewPlate => "Ctrl+Shift+N",
            Self::Pack(Scope::Plate) => "P",
            Self::Pack(Scope::Order) => "Shift+P",
            Self::TopUp(TopUp::Order) => "T",
            Self::Take => "Enter",
            Self::ShowHeight(None) => "H",
            _ => "",
        }
    }

    /// Can it be asked for now?
    pub fn enabled(&self, session: &Session) -> bool {
        let selected = !session.selection().is_empty();
        let arranging = session.arranging().is_some();
        match self {
            Self::Undo => session.undo_label().is_some() && !arranging,
            Self::Redo => session.redo_label().is_some() && !arranging,
            Self::Save => session.changed() || session.path().is_none(),
            Self::Delete
            | Self::Duplicate
            | Self::Grid { .. }
            | Self::Turn(_)
            | Self::Nudge(..)
            | Self::Lock(_)
            | Self::Footing(_)
            | Self::Pack(Scope::Selection)
            | Self::ToPlate(_) => selected && !arranging,
            Self::Align(_) => session.selection().len() > 1 && !arranging,
            Self::SelectAll => session.plate().is_some_and(|p| !p.copies.is_empty()),
            Self::SelectNone => selected || session.part_id().is_some(),
            Self::Pack(Scope::Plate) => session.plate().is_some_and(|p| !p.copies.is_empty()) && !arranging,
            Self::Pack(Scope::Job) => session.job().plates.iter().any(|p| !p.copies.is_empty()) && !arranging,
            Self::Pack(Scope::Order) => session.unplaced_count() > 0 && !arranging,
            Self::TopUp(_) | Self::TopUpArea(_) => {
                session.plate().is_some() && !session.job().parts.is_empty() && !arranging
            }
            Self::NewPlate => !session.job().parts.is_empty() && !arranging,
            Self::Ask(Ask::Export) => {
                session.job().plates.iter().any(|p| !p.copies.is_empty()) && session.handing_over().is_none()
            }
            Self::CancelExport => session.handing_over().is_some(),
            Self::KeepLying(_) => !arranging,
            Self::MoveAllApart => {
                let view = session.plate_id().and_then(|p| session.view(p));
                view.is_some_and(|v| !v.conflicts.is_empty()) && !arranging
            }
            Self::DuplicatePlate(_) | Self::AddKeepOut(..) | Self::MoveKeepOut(..) | Self::RemoveKeepOut(..) => {
                !arranging
            }
            Self::Take | Self::Cancel => arranging,
            Self::TakeFactor => session.measured_factor().is_some() && !arranging,
            Self::EndGauge => session.gauging().is_some(),
            Self::ShowGauged(n) => {
                let listed = session.gauging().filter(|g| g.measured.is_some()).and_then(|g| g.folder.as_ref());
                listed.is_some_and(|f| *n < f.files.len())
            }
            Self::ShowHeight(None) => session.height_mm().is_some(),
            _ => true,
        }
    }
}
