//! Machines that can run each other's plates as they are.

use crate::document::Machine;

/// Whether a plate of one machine can run on the other without a look at its copies: same bed, same reach, same filament.
pub(in crate::session) fn are_equal(a: &Machine, b: &Machine) -> bool {
    a.bed == b.bed
        && a.height_mm == b.height_mm
        && a.edge_mm == b.edge_mm
        && a.keep_outs == b.keep_outs
        && a.surface == b.surface
        && a.filament_mm == b.filament_mm
        && a.carriages == b.carriages
        && a.head == b.head
}
