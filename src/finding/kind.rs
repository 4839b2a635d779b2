//! What a finding is about.

use serde::Serialize;

/// What it is about, in the words of `check --json`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FindingKind {
    /// Shadows overlap, or a footing enters another part's contact.
    Overlap,
    /// Shadows or footings are too near each other.
    Clearance,
    /// Something leaves the bed less the edge margin.
    OffBed,
    /// Something covers a keep-out.
    KeepOut,
    /// No room for the skirt round a copy.
    Skirt,
    /// Higher than the machine takes.
    TooTall,
    /// Ordered, and on no plate.
    Unplaced,
    /// More on plates than are wanted.
    Surplus,
    /// Lies on a plate that Pack found no place for it on.
    NoRoom,
    /// To be kept on one plate, and on several.
    Parted,
    /// Not the plate's material, colour or recipe.
    MixedRecipe,
    /// About a plate that is printed twice at once: its halves, the strip between them, mirrored copies.
    Twin,
    /// The mesh has faults.
    MeshFault,
    /// The mesh file is not where it was.
    MissingMesh,
    /// The mesh file is not what it was.
    ChangedMesh,
    /// Layers too quick to cool.
    Cooling,
    /// The spool will not last.
    Spool,
    /// Could fall over.
    TipOver,
    /// Thin, tall, or with little contact.
    Shape,
    /// Corners may lift.
    Warp,
    /// Begins with nothing under it.
    MidAir,
    /// Machines print with nobody there.
    Unattended,
    /// A plate ends after the last person has left.
    AfterHours,
    /// Parts are on the table after they are due.
    Late,
    /// A due date that cannot be read, or is past.
    DueDate,
    /// Nobody is ever there, or the hours are the example.
    NoHours,
    /// Hours that say two things of one day.
    Hours,
    /// No attended time is long enough for a changeover.
    NoTime,
    /// A machine is down with plates on it.
    Downtime,
    /// A plate should have ended.
    Overdue,
    /// The bed may still be hot when parts come off.
    HotBed,
    /// Items of a plate's checklist are open.
    Readiness,
    /// The tally leaves something open.
    Tally,
}

impl FindingKind {
    /// All kinds, in the order of the list.
    pub const ALL: [Self; 33] = [
        Self::Overlap,
        Self::Clearance,
        Self::OffBed,
        Self::KeepOut,
        Self::Skirt,
        Self::TooTall,
        Self::Unplaced,
        Self::Surplus,
        Self::NoRoom,
        Self::Parted,
        Self::MixedRecipe,
        Self::Twin,
        Self::MeshFault,
        Self::MissingMesh,
        Self::ChangedMesh,
        Self::Cooling,
        Self::Spool,
        Self::TipOver,
        Self::Shape,
        Self::Warp,
        Self::MidAir,
        Self::Unattended,
        Self::AfterHours,
        Self::Late,
        Self::DueDate,
        Self::NoHours,
        Self::Hours,
        Self::NoTime,
        Self::Downtime,
        Self::Overdue,
        Self::HotBed,
        Self::Readiness,
        Self::Tally,
    ];
    /// "off-bed".
    pub fn word(self) -> &'static str {
        match self {
            Self::Overlap => "overlap",
            Self::Clearance => "clearance",
            Self::OffBed => "off-bed",
            Self::KeepOut => "keep-out",
            Self::Skirt => "skirt",
            Self::TooTall => "too-tall",
            Self::Unplaced => "unplaced",
            Self::Surplus => "surplus",
            Self::NoRoom => "no-room",
            Self::Parted => "parted",
            Self::MixedRecipe => "mixed-recipe",
            Self::Twin => "twin",
            Self::MeshFault => "mesh-fault",
            Self::MissingMesh => "missing-mesh",
            Self::ChangedMesh => "changed-mesh",
            Self::Cooling => "cooling",
            Self::Spool => "spool",
            Self::TipOver => "tip-over",
            Self::Shape => "shape",
            Self::Warp => "warp",
            Self::MidAir => "mid-air",
            Self::Unattended => "unattended",
            Self::AfterHours => "after-hours",
            Self::Late => "late",
            Self::DueDate => "due-date",
            Self::NoHours => "no-hours",
            Self::Hours => "hours",
            Self::NoTime => "no-time",
            Self::Downtime => "downtime",
            Self::Overdue => "overdue",
            Self::HotBed => "hot-bed",
            Self::Readiness => "readiness",
            Self::Tally => "tally",
        }
    }
}
