//! Machines.

use serde::{Deserialize, Serialize};

use super::{BedShape, Carriages, Downtime, HeadClearance, KeepOut, MachineId};

/// A filament printer, as far as a plate needs to know it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Machine {
    /// Its id in the job.
    pub id: MachineId,
    /// "Bench 1".
    pub name: String,
    /// Its bed.
    pub bed: BedShape,
    /// Usable height, mm.
    pub height_mm: f64,
    /// This bed's own edge margin, mm; the larger of it and the job's holds.
    #[serde(default)]
    pub edge_mm: f64,
    /// What its bed is covered with, in the shop's words ("smooth steel"): names the adhesion of its materials.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub surface: String,
    /// Areas to keep free.
    #[serde(default)]
    pub keep_outs: Vec<KeepOut>,
    /// Filament diameter, mm.
    pub filament_mm: f64,
    /// Time to heat up before the first layer, s.
    pub heat_up_s: f64,
    /// Time from the last layer to the end, s.
    pub end_s: f64,
    /// P after G4 in its machine code counts seconds, not milliseconds.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub dwells_in_seconds: bool,
    /// Two carriages on one X axis; `None` for one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carriages: Option<Carriages>,
    /// The room its head needs; where it is known, copies can be printed one after another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<HeadClearance>,
    /// How fast its bed cools: the time constant of Newton's law of cooling, s. Assumed until measured.
    #[serde(default = "bed_cooling_s")]
    pub bed_cooling_s: f64,
    /// When it is not to be had.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub downtimes: Vec<Downtime>,
}

fn bed_cooling_s() -> f64 {
    900.0
}

impl Machine {
    /// A plain machine with a rectangular bed.
    pub fn rectangular(id: MachineId, name: &str, width_mm: f64, depth_mm: f64, height_mm: f64) -> Self {
        Self {
            id,
            name: name.into(),
            bed: BedShape::Rectangle { width_mm, depth_mm },
            height_mm,
            edge_mm: 0.0,
            surface: String::new(),
            keep_outs: Vec::new(),
            filament_mm: 1.75,
            heat_up_s: 240.0,
            end_s: 60.0,
            dwells_in_seconds: false,
            carriages: None,
            head: None,
            bed_cooling_s: bed_cooling_s(),
            downtimes: Vec::new(),
        }
    }
}
