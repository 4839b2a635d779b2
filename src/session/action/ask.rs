//! What only a roof can ask.

use crate::{
    document::{PartId, PlateId},
    session::TimelineFile,
};

/// A question that only the roof can ask (a dialog).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// Which job to open.
    Open,
    /// Where to save.
    SaveAs,
    /// Whether to replace a file: see [`crate::session::Session::replacing`].
    Replace,
    /// Which meshes to add.
    AddParts,
    /// Where to export.
    Export,
    /// Where to export one plate.
    ExportPlate(PlateId),
    /// Where the run sheet of a plate is written.
    RunSheet(PlateId),
    /// Whether to hand over what has faults: see [`crate::session::Session::hand_over_doubt`].
    HandOverFaulty,
    /// Where to save the plan.
    Timeline(TimelineFile),
    /// Which file replaces a part's mesh.
    ReplaceMesh(PartId),
    /// Where a lost mesh is.
    LocateMesh(PartId),
    /// Which machine-code file to measure.
    Gauge,
    /// Which folder of such files to measure.
    GaugeFolder,
    /// Which table to read the tally from.
    ReadTally,
    /// Which table to write the tally to.
    WriteTally,
}
