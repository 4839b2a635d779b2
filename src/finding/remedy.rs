//! What a button beside a finding does.

use std::borrow::Cow;

use serde::Serialize;

use crate::document::{CopyId, FileUnit, Footing, Mend, MeshId, PartId, PlateId, Twin};

/// What a button beside a finding does.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Remedy {
    /// Moves copies a little until they are clear.
    MoveApart {
        /// Which; the last one is moved first.
        copies: Vec<CopyId>,
    },
    /// Moves copies back onto the bed.
    MoveOntoBed {
        /// Which.
        copies: Vec<CopyId>,
    },
    /// Puts copies on a plate of their own.
    MoveToNewPlate {
        /// Which.
        copies: Vec<CopyId>,
    },
    /// Takes copies off.
    Remove {
        /// Which.
        copies: Vec<CopyId>,
    },
    /// Arranges the plate afresh.
    PackPlate {
        /// Which.
        plate: PlateId,
    },
    /// Packs copies on their plates and, where those are full, on new ones of the same kind.
    PackOnMorePlates {
        /// Their plates.
        plates: Vec<PlateId>,
        /// Which copies may be moved.
        copies: Vec<CopyId>,
    },
    /// Puts what is ordered and not placed on plates.
    PlaceMissing {
        /// Of which part.
        part: PartId,
    },
    /// Asks where the mesh file went.
    LocateMesh {
        /// Which.
        mesh: MeshId,
    },
    /// Takes the mesh as it is now.
    TakeChangedMesh {
        /// Which.
        mesh: MeshId,
    },
    /// Gives copies another footing.
    SetFooting {
        /// Which.
        copies: Vec<CopyId>,
        /// What they stand on then.
        footing: Footing,
    },
    /// Puts our copy of the mesh right.
    Mend {
        /// The parts made from it.
        parts: Vec<PartId>,
        /// How.
        mend: Mend,
    },
    /// Takes a mend away again.
    UndoMend {
        /// The parts that have it.
        parts: Vec<PartId>,
        /// Its place in their list, from 0.
        mend: usize,
    },
    /// Makes a part of each connected body.
    SplitBodies {
        /// Which.
        part: PartId,
    },
    /// Reads a mesh file's coordinates in another unit.
    SetUnit {
        /// A part made from it.
        part: PartId,
        /// The unit.
        unit: FileUnit,
    },
    /// Turns a part so that a direction in its present pose points down.
    LayDown {
        /// Which.
        part: PartId,
        /// The direction.
        normal: [f64; 3],
        /// Its height then, mm.
        height_mm: f64,
        /// Its margin against tipping over then, bare.
        margin: f64,
    },
    /// Works out the ways to lay a part down.
    RankPoses {
        /// Which.
        part: PartId,
    },
    /// Moves copies where a fall reaches nothing that still grows.
    MoveOutOfReach {
        /// Which.
        copies: Vec<CopyId>,
    },
    /// Prints a plate once, or twice at once.
    SetTwin {
        /// Which.
        plate: PlateId,
        /// How; `None` for once.
        twin: Option<Twin>,
    },
    /// Orders a part and its mirror image.
    OrderHands {
        /// Which.
        part: PartId,
    },
    /// Looks for a better sequence of the plates.
    ImproveSequence,
    /// The example hours are this shop's.
    UseHours,
    /// A plate has ended.
    MarkEnded {
        /// Which.
        plate: PlateId,
    },
    /// A plate has failed.
    MarkFailed {
        /// Which.
        plate: PlateId,
    },
    /// Selects the copies, so that the person sees them.
    Show {
        /// Which.
        copies: Vec<CopyId>,
    },
}

impl Remedy {
    /// The button's label.
    pub fn label(&self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Self::MoveApart { .. } => "Move apart",
            Self::MoveOntoBed { .. } => "Move onto the bed",
            Self::MoveToNewPlate { .. } => "Move to a new plate",
            Self::Remove { .. } => "Take off",
            Self::PackPlate { .. } => "Pack this plate",
            Self::PackOnMorePlates { .. } => "Pack with a further plate",
            Self::PlaceMissing { .. } => "Put on plates",
            Self::LocateMesh { .. } => "Locate the file",
            Self::TakeChangedMesh { .. } => "Take the new mesh",
            Self::SetFooting { .. } => "Use this footing",
            Self::Mend { mend, .. } => return Cow::Owned(mend.label()),
            Self::UndoMend { .. } => "Undo this mend",
            Self::SplitBodies { .. } => "Split into bodies",
            Self::SetUnit { unit, .. } => return Cow::Owned(format!("The file is in {}", unit.plural())),
            Self::LayDown { height_mm, margin, .. } => {
                return Cow::Owned(format!("Lay it down: {height_mm:.0} mm high, margin {}", short(*margin)));
            }
            Self::RankPoses { .. } => "Compare other poses",
            Self::MoveOutOfReach { .. } => "Move out of reach",
            Self::SetTwin { twin: None, .. } => "Print it once",
            Self::SetTwin { twin: Some(Twin::Shifted), .. } => "Use a shifted twin",
            Self::SetTwin { twin: Some(Twin::Handed), .. } => "Use a handed twin",
            Self::OrderHands { .. } => "Order as left + right",
            Self::ImproveSequence => "Improve the sequence",
            Self::UseHours => "These are our hours",
            Self::MarkEnded { .. } => "It ended",
            Self::MarkFailed { .. } => "It failed",
            Self::Show { .. } => "Show",
        })
    }
}

/// A margin in a few digits, never rounded across 1.
fn short(margin: f64) -> String {
    if margin > 10.0 { "above 10".into() } else { format!("{:.1}", (margin * 10.0).floor() / 10.0) }
}
